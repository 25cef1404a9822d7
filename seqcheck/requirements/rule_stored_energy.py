"""Rules for stored energy: while a guard is open, nothing that a weight, a spring or inertia could move is left unrestrained."""

from __future__ import annotations

from seqcheck.kernel.build import behaviours_of
from seqcheck.language.expression import And, Not
from seqcheck.language.rule_call import RuleCall
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.rule_set import ANY_ONE, RuleFile, RuleSet


def _expand(call: RuleCall, sequence: Sequence) -> tuple[Requirement, ...]:
    file = RuleFile(call, sequence)
    assert call.start is not None, "the reader asks for what restrains it"
    stores = [part.device for part in behaviours_of(sequence) if "is_stored" in part.facts]
    if not stores:
        raise file.lacks("a device with the fact is_stored")
    return tuple(
        file.requirement(
            f"SE.{guard.name}.{name}",
            "never",
            f"While {guard.name} is open, the stored energy of {name} is dissipated or restrained.",
            "ISO 14118, ISO 12100 6.3.5.4",
            ANY_ONE,
            never=And(
                call.place,
                (
                    file.name(f"{guard.name}.is_open"),
                    file.name(f"{name}.is_stored"),
                    Not(call.place, call.start),
                ),
            ),
        )
        for guard in file.guards()
        for name in stores
    )


STORED_ENERGY = RuleSet(
    name="stored energy",
    meaning="while a guard is open, every stored energy (fact is_stored) is dissipated or mechanically restrained",
    expand=_expand,
    asks_for="what restrains it mechanically, such as stop_pin.is_out; FALSE for nothing",
    needs_condition=True,
)
