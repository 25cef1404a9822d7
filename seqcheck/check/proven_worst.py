"""The proven worst case of one cycle: longest time, least content, highest tension; what samples are held against.

The check is asked for the cycle alone: without failures, and with no acts but those that lead into the cycle, over every time that
the ranges allow.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.check.check import check_sequence
from seqcheck.check.distribution import Proven
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Measure, RequirementOutcome
from seqcheck.errors import Place, SequenceFileError
from seqcheck.explore.limits import Limits
from seqcheck.language.expression import Expression, Name, Or
from seqcheck.language.field import FieldValue
from seqcheck.language.sequence import Entry, Given, Requirement, Sequence
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.requirements.accumulator import BELOW
from seqcheck.requirements.take_up import ABOVE as ABOVE_FILLED
from seqcheck.requirements.tension import TENSION, WITHIN
from seqcheck.requirements.verdict import Verdict
from seqcheck.simulate.accumulator_data import AccumulatorData
from seqcheck.simulate.cycle import Cycle
from seqcheck.simulate.physical_data import PhysicalData, WebData, compensation, winding_of
from seqcheck.simulate.tension_course import inertia_force_n

LONGEST_CYCLE_US = 3_600 * MICROSECONDS_PER_SECOND
LONGEST_PROOF_S = 120.0
DRAW, TIME = "cycle draw", "cycle time"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProvenWorst:
    """The worst of one cycle, as far as it is proven. At a rewind the content is that of room."""

    cycle_s: Proven
    least_content_m: Proven
    peak_tension_n: Proven


def proven_worst(
    sequence: Sequence, data: PhysicalData | None, cycle: Cycle, actors: tuple[str, ...], steps: tuple[str, ...]
) -> ProvenWorst:
    """The worst of `cycle` with acts of `actors` only, going through `steps` of its chart and no others."""
    given = Given(allowed=actors)
    wanted = [_time_requirement(sequence, cycle, given, steps)]
    if data is not None and data.accumulator is not None:
        wanted.append(_draw_requirement(sequence, given, data.accumulator))
    outcomes = {outcome.requirement.id: outcome for outcome in _checked(sequence, tuple(wanted))}
    return ProvenWorst(
        cycle_s=_cycle_time(outcomes.get(TIME)),
        least_content_m=_least_content(outcomes.get(DRAW), data),
        peak_tension_n=_peak_tension(sequence, data),
    )


def _checked(sequence: Sequence, requirements: tuple[Requirement, ...]) -> tuple[RequirementOutcome, ...]:
    options = CheckOptions(limits=Limits(seconds=LONGEST_PROOF_S), faults=0)
    try:
        return check_sequence(replace(sequence, requirements=requirements), options).requirements
    except SequenceFileError:
        return ()


def _time_requirement(
    sequence: Sequence, cycle: Cycle, given: Given, steps: tuple[str, ...]
) -> Requirement:
    place = sequence.chart(cycle.chart).place
    others = [step.name for step in sequence.chart(cycle.chart).steps if step.name not in steps]
    entries = [
        _entry(place, "between", _in_step(place, cycle.chart, cycle.start)),
        _entry(place, "and", _in_step(place, cycle.chart, cycle.end)),
        _entry(place, "at most", LONGEST_CYCLE_US),
    ]
    if others:
        unless = tuple(_in_step(place, cycle.chart, name) for name in others)
        entries.append(_entry(place, "unless", unless[0] if len(unless) == 1 else Or(place, unless)))
    return Requirement(
        id=TIME, place=place, kind="duration", text=cycle.text, entries=tuple(entries), given=given
    )


def _entry(place: Place, name: str, value: FieldValue) -> Entry:
    return Entry(name=name, value=value, place=place)


def _in_step(place: Place, chart: str, step: str) -> Expression:
    return Name(place, f"{chart}.{step}.X")


def _draw_requirement(sequence: Sequence, given: Given, store: AccumulatorData) -> Requirement:
    device = next(part for part in sequence.devices if part.name == store.name)
    field, words = ("take-up", ABOVE_FILLED) if store.takes_up else ("accumulator", BELOW)
    return Requirement(
        id=DRAW,
        place=device.place,
        kind=field.replace("-", "_"),
        text="draw of the cycle",
        entries=(_entry(device.place, field, words),),
        given=given,
    )


def _cycle_time(outcome: RequirementOutcome | None) -> Proven:
    measure = _worst_measure(outcome, "")
    if measure is None:
        return _nothing(outcome)
    return Proven(
        value=measure.worst / MICROSECONDS_PER_SECOND, is_exact=measure.is_exact, note="longest time of the cycle"
    )


def _least_content(outcome: RequirementOutcome | None, data: PhysicalData | None) -> Proven:
    takes_up = data is not None and data.accumulator is not None and data.accumulator.takes_up
    measure = _worst_measure(outcome, "emptied" if takes_up else "filled")
    if measure is None or data is None or data.accumulator is None:
        return _nothing(outcome)
    return Proven(
        value=data.accumulator.filled_m - measure.worst,
        is_exact=measure.is_exact,
        note="room at the emptied level less the most taken up" if takes_up else "filled level less the greatest draw",
    )


def _worst_measure(outcome: RequirementOutcome | None, word: str) -> Measure | None:
    """The greatest of the measures that speak of `word`, if the exploration came to its end."""
    if outcome is None or outcome.verdict is Verdict.UNDECIDED:
        return None
    found = [measure for measure in outcome.measures if word in measure.quantity]
    return max(found, key=lambda measure: measure.worst, default=None)


def _nothing(outcome: RequirementOutcome | None) -> Proven:
    return Proven(value=None, note=outcome.reason if outcome is not None and outcome.reason else "not proven")


def _peak_tension(sequence: Sequence, data: PhysicalData | None) -> Proven:
    """The greater of what the roll's inertia does before the accumulator and the carriage's after it, in the fastest ramps."""
    if data is None or data.web is None or data.accumulator is None:
        return Proven(value=None, note="web tension, roll or accumulator are not given")
    if data.accumulator.takes_up:
        return _peak_tension_at_rewind(sequence, data, data.web, data.accumulator)
    place = sequence.devices[0].place
    entries = (_entry(place, "tension", WITHIN), _entry(place, "compensation", compensation(sequence, sequence.machine.unwind)))
    requirement = Requirement(id="tension", place=place, kind="tension", text="", entries=entries)
    assert TENSION.figures is not None
    try:
        figures = TENSION.figures(requirement, sequence)
    except SequenceFileError as error:
        return Proven(value=None, note=f"{error.problems[0].expected}: {error.problems[0].found}")
    roll_n = max(figure.worst for figure in figures if not figure.is_least)
    carriage_n = data.web.run_n + _carriage_force_n(sequence, data.accumulator)
    return Proven(value=max(roll_n, carriage_n), note="fastest ramp at the worst diameter")


def _peak_tension_at_rewind(
    sequence: Sequence, data: PhysicalData, web: WebData, store: AccumulatorData
) -> Proven:
    """The greater of what the full roll's inertia does after the accumulator and the carriage's before it, in the fastest ramps.

    Source: tension_course.py, T = T_run - share J a / r^2 with the rewind slowing.
    """
    winding = winding_of(sequence.machine, store)
    shortest_s = min(winding.stop.earliest_us, winding.start.earliest_us) / MICROSECONDS_PER_SECOND
    fastest_m_per_s2 = data.speed_m_per_s / shortest_s
    roll_n = 0.0 if data.wound is None else inertia_force_n(web, data.wound, data.wound.outside_m, fastest_m_per_s2)
    return Proven(
        value=web.run_n + max(roll_n, _carriage_force_n(sequence, store)), note="fastest ramp, full roll"
    )


def _carriage_force_n(sequence: Sequence, store: AccumulatorData) -> float:
    """What the carriage's inertia adds when winding and line change speed against each other as fast as they can."""
    winding, line = winding_of(sequence.machine, store), sequence.machine.line
    assert line is not None, "an accumulator without a line has no data"
    ramps = [winding.stop, winding.start, *(ramp for ramp in (line.stop, line.start) if ramp is not None)]
    shortest_s = min(ramp.earliest_us for ramp in ramps) / MICROSECONDS_PER_SECOND
    return store.carriage_kg * 2 * line.speed_m_per_s / shortest_s / store.strands**2
