"""Rules for guard locking: locked until the hazard has ended, no hazardous function and no energy while open or unlocked."""

from __future__ import annotations

from seqcheck.language.rule_call import RuleCall
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.rule_set import ANY_ONE, RuleFile, RuleSet


def _expand(call: RuleCall, sequence: Sequence) -> tuple[Requirement, ...]:
    file = RuleFile(call, sequence)
    guards = [part for part in file.guards() if part.entry("lock") is not None or part.entry("unlock") is not None]
    if not guards:
        raise file.lacks("a guard with 'lock' or 'unlock'")
    found = []
    for guard in guards:
        for part in file.hazards():
            if "is_moving" not in part.facts:
                continue
            found.append(
                file.requirement(
                    f"G2.{guard.name}.{part.device}",
                    "never",
                    f"{guard.name} stays locked until {part.device} stands.",
                    "ISO 14119 5.7.2",
                    ANY_ONE,
                    never=file.both(file.name(f"{part.device}.is_moving"), file.no(f"{guard.name}.is_locked")),
                )
            )
        for circuit in file.circuits_on(guard):
            found.append(
                file.requirement(
                    f"G3.{guard.name}.{circuit.name}",
                    "never",
                    f"No energy of {circuit.name} while {guard.name} is open.",
                    "ISO 14119 4.3",
                    ANY_ONE,
                    never=file.both(file.name(f"{guard.name}.is_open"), file.name(f"{circuit.name}.is_on")),
                )
            )
    return tuple(found)


GUARD_LOCKING = RuleSet(
    name="guard locking",
    meaning="a lockable guard stays locked until every hazardous motion has ended, and its circuits are off while it is open",
    expand=_expand,
)
