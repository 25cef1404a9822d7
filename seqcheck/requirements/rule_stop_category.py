"""Rules for the category of the emergency stop: 0 removes power at once, 1 keeps it until standstill and then removes it."""

from __future__ import annotations

from seqcheck.language.rule_call import RuleCall
from seqcheck.language.sequence import Circuit, Device, Requirement, Sequence
from seqcheck.requirements.rule_set import ANY_ONE, RuleFile, RuleSet


def _expand(call: RuleCall, sequence: Sequence) -> tuple[Requirement, ...]:
    file = RuleFile(call, sequence)
    pairs = [(stop, circuit) for stop in file.emergency_stops() for circuit in file.circuits_on(stop)]
    if not pairs:
        raise file.lacks("a safety circuit that the emergency stop holds")
    if call.word == "0":
        return tuple(_at_once(file, stop, circuit) for stop, circuit in pairs)
    return tuple(part for circuit in dict.fromkeys(circuit for _, circuit in pairs) for part in _kept(file, circuit))


def _at_once(file: RuleFile, stop: Device, circuit: Circuit) -> Requirement:
    return file.requirement(
        f"S0.{stop.name}.{circuit.name}",
        "reaction",
        f"{stop.name} takes the power of {circuit.name} away at once.",
        "IEC 60204-1 9.2.2, ISO 13850 4.1.3",
        ANY_ONE,
        when=file.name(f"{stop.name}.is_pressed"),
        then=file.no(f"{circuit.name}.is_on"),
        within=circuit.drop.latest_us or circuit.drop.earliest_us,
    )


def _kept(file: RuleFile, circuit: Circuit) -> tuple[Requirement, ...]:
    return tuple(
        file.requirement(
            f"S1.{circuit.name}.{part.device}",
            "never",
            f"The power of {circuit.name} stays until {part.device} stands.",
            "IEC 60204-1 9.2.2",
            ANY_ONE,
            never=file.both(file.name(f"{part.device}.is_moving"), file.no(f"{circuit.name}.is_on")),
        )
        for part in file.hazards()
        if "is_moving" in part.facts
    )


STOP_CATEGORY = RuleSet(
    name="stop category",
    meaning="the emergency stop is of the category given; 2 is not allowed (ISO 13850 4.1.3)",
    expand=_expand,
    asks_for="0 or 1",
    words=("0", "1"),
)
