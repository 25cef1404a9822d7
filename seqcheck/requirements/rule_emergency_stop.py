"""Rules for the emergency stop: no start until reset, and neither pulling it nor resetting its circuit starts anything."""

from __future__ import annotations

from seqcheck.language.rule_call import RuleCall
from seqcheck.language.sequence import Circuit, Hypothesis, Requirement, Sequence
from seqcheck.requirements.rule_set import ANY_ONE, RuleFile, RuleSet


def _expand(call: RuleCall, sequence: Sequence) -> tuple[Requirement, ...]:
    file = RuleFile(call, sequence)
    stops = file.emergency_stops()
    circuits = tuple(dict.fromkeys(circuit for stop in stops for circuit in file.circuits_on(stop)))
    if not circuits:
        raise file.lacks("a safety circuit that the emergency stop holds")
    return tuple(part for circuit in circuits for part in (*_no_start(file, circuit), _reset(file, call, circuit)))


def _no_start(file: RuleFile, circuit: Circuit) -> tuple[Requirement, ...]:
    if circuit.signal is None:
        raise file.lacks(f"'signal' of circuit {circuit.name}")
    return tuple(
        file.requirement(
            f"E3.{circuit.name}.{output}",
            "interlock",
            f"No start command turns {output} on until {circuit.name} is reset.",
            "ISO 13850 4.1.4",
            ANY_ONE,
            interlock=output,
            only_while=file.name(circuit.signal),
        )
        for output in file.outputs()
    )


def _reset(file: RuleFile, call: RuleCall, circuit: Circuit) -> Requirement:
    assert call.start is not None, "the reader asks for a start command"
    return file.requirement(
        f"E4.{circuit.name}",
        "order",
        f"The return of {circuit.name} starts nothing; a start is commanded after it.",
        "ISO 13850 4.1.4, IEC 60204-1 9.2.3.4.2",
        Hypothesis(),
        no=file.any_of(file.outputs()),
        before=call.start,
        since=file.name(f"{circuit.name}.is_on"),
    )


EMERGENCY_STOP = RuleSet(
    name="emergency stop",
    meaning="no hazardous output comes on before the circuit is reset, and resetting alone starts none",
    expand=_expand,
    asks_for="the deliberate start command, such as start_pressed",
    needs_condition=True,
)
