"""Rules against unexpected start: neither returning energy nor a guard that is closed starts anything."""

from __future__ import annotations

from seqcheck.language.rule_call import RuleCall
from seqcheck.language.sequence import Hypothesis, Requirement, Sequence
from seqcheck.requirements.rule_set import RuleFile, RuleSet


def _expand(call: RuleCall, sequence: Sequence) -> tuple[Requirement, ...]:
    file = RuleFile(call, sequence)
    assert call.start is not None, "the reader asks for a start command"
    causes = [
        (f"C3.{circuit.name}", f"{circuit.name}.is_on", f"energy of {circuit.name} returns", "ISO 14118, IEC 60204-1 7.5")
        for circuit in sequence.circuits
    ]
    causes += [
        (f"U3.{device.name}", f"{device.name}.is_closed", f"{device.name} is closed", "ISO 14119, ISO 12100")
        for device in sequence.devices
        if device.type_name == "guard"
    ]
    if not causes:
        raise file.lacks("a safety circuit or a guard")
    return tuple(
        file.requirement(
            identity,
            "order",
            f"Nothing starts because {text}; a start is commanded after it.",
            clause,
            Hypothesis(),
            no=file.any_of(file.outputs()),
            before=call.start,
            since=file.name(fact),
        )
        for identity, fact, text, clause in causes
    )


RESTART = RuleSet(
    name="restart",
    meaning="after energy has returned, or a guard has been closed, nothing hazardous comes on before a start command",
    expand=_expand,
    asks_for="the deliberate start command, such as start_pressed",
    needs_condition=True,
)
