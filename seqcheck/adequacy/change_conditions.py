"""Changes of conditions: of transitions, of what clears an alarm, of the channels and the reset of a circuit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seqcheck.adequacy.change import Anywhere, Change, ChangeKind, InSteps, Subject, Way, WhileAlarm, ways_of
from seqcheck.adequacy.terms import TermChange, term_changes
from seqcheck.language.expression import Expression, to_text
from seqcheck.language.sequence import Alarm, Circuit, Sequence


def condition_changes(sequence: Sequence) -> Iterator[Change]:
    """Every term of every condition dropped and negated."""
    for way in ways_of(sequence):
        for term in term_changes(way.transition.condition):
            yield _of_way(sequence, way, term)
    for alarm in sequence.alarms:
        for term in term_changes(alarm.clear):
            yield _of_alarm(sequence, alarm, term)
    for circuit in sequence.circuits:
        yield from _of_circuit(sequence, circuit)


def _of_way(sequence: Sequence, way: Way, term: TermChange) -> Change:
    return Change(
        kind=_kind(term),
        place=term.term.place,
        text=_text(term, f"on the way {way.text}"),
        owner=way.chart.name,
        touched=InSteps(way.chart.name, frozenset(way.sources)),
        subject=Subject(
            chart=way.chart.name,
            source=way.sources,
            target=way.transition.target,
            term=term.term,
            is_alternative=term.is_alternative,
        ),
        sequence=way.changed(sequence, replace(way.transition, condition=term.condition)),
    )


def _of_alarm(sequence: Sequence, alarm: Alarm, term: TermChange) -> Change:
    changed = replace(alarm, clear=term.condition)
    alarms = tuple(changed if other.name == alarm.name else other for other in sequence.alarms)
    return Change(
        kind=_kind(term),
        place=term.term.place,
        text=_text(term, f"where alarm {alarm.name} is cleared"),
        owner=alarm.name,
        touched=WhileAlarm(alarm.name),
        subject=Subject(variable=alarm.name, term=term.term),
        sequence=replace(sequence, alarms=alarms),
    )


def _of_circuit(sequence: Sequence, circuit: Circuit) -> Iterator[Change]:
    for number, channel in enumerate(circuit.channels):
        for term in term_changes(channel):
            channels = (*circuit.channels[:number], term.condition, *circuit.channels[number + 1 :])
            yield _wired(sequence, replace(circuit, channels=channels), term, f"in channel {number + 1}")
    if circuit.reset is not None:
        for term in term_changes(circuit.reset):
            yield _wired(sequence, replace(circuit, reset=term.condition), term, "in the reset")


def _wired(sequence: Sequence, circuit: Circuit, term: TermChange, where: str) -> Change:
    circuits = tuple(circuit if other.name == circuit.name else other for other in sequence.circuits)
    return Change(
        kind=_kind(term),
        place=term.term.place,
        text=_text(term, f"{where} of circuit {circuit.name}"),
        owner=circuit.name,
        touched=Anywhere(),
        subject=Subject(device=circuit.name, term=term.term),
        sequence=replace(sequence, circuits=circuits),
    )


def _kind(term: TermChange) -> ChangeKind:
    return ChangeKind.DROP_TERM if term.is_dropped else ChangeKind.NEGATE_TERM


def _text(term: TermChange, where: str) -> str:
    return f"{_quoted(term.term)} {'dropped' if term.is_dropped else 'negated'} {where}"


def _quoted(term: Expression) -> str:
    return f"'{to_text(term)}'"
