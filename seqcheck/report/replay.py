"""One run as the page plays it: who is where when, in courses of numbers over time.

The picture: a player has a clock. Whatever it shows at a time is looked up in *courses*: steps, signals and words hold from their
time to the next one, positions and curves go straight between their points. Nothing here knows how it will be drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from seqcheck.check.witness import witness_lines
from seqcheck.kernel.machine import Machine
from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Schedule
from seqcheck.kernel.state import State
from seqcheck.report.replay_curves import ReplayCurve, replay_curves
from seqcheck.report.stroke import Going, stroke_of
from seqcheck.simulate.motion import MotionRecord

Holding = tuple[tuple[int, int], ...]
"""(time in microseconds, value) pairs: the value holds from that time on."""

Moments = list[tuple[int, State]]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartCourse:
    """The active step of a chart: values are indices into `steps`."""

    name: str
    steps: tuple[str, ...]
    course: Holding


@dataclass(frozen=True, slots=True, kw_only=True)
class SignalCourse:
    """`kind`: output, input or alarm; values 0 and 1."""

    name: str
    kind: str
    course: Holding


@dataclass(frozen=True, slots=True, kw_only=True)
class PartCourse:
    """A device: its position in words over time (indices into `words`), and how far it is out, 0 to 1 (None: no such thing)."""

    name: str
    words: tuple[str, ...]
    course: Holding
    stroke: Going | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplayEvent:
    """Something that happened, in words. `mark`: "failure", "act" or ""."""

    time_us: int
    text: str
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """A run to be played from `from_us` to `end_us`.

    `key` names it in the page; `note` says what it is and what it lacks. Signals that never change are left out.
    """

    key: str
    title: str
    note: str
    from_us: int
    end_us: int
    charts: tuple[ChartCourse, ...]
    signals: tuple[SignalCourse, ...]
    parts: tuple[PartCourse, ...]
    curves: tuple[ReplayCurve, ...]
    events: tuple[ReplayEvent, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplayLabel:
    """What a replay is called, and since when it is shown."""

    key: str
    title: str
    note: str
    from_us: int = 0


def replay_of(
    label: ReplayLabel, network: Network, schedule: Schedule, end_us: int, motion: MotionRecord | None
) -> Replay:
    """The replay of a run on `network` from `label.from_us` to `end_us`."""
    end_us = max(end_us, label.from_us + 1)
    moments = [(time_us, state) for time_us, state in _moments(schedule) if time_us <= end_us]
    return Replay(
        key=label.key,
        title=label.title,
        note=label.note,
        from_us=label.from_us,
        end_us=end_us,
        charts=tuple(_charts(network, moments)),
        signals=tuple(_signals(network, moments, label.from_us)),
        parts=tuple(_part(machine, moments) for machine in network.machines),
        curves=replay_curves(motion, label.from_us, end_us),
        events=tuple(_events(network, schedule, label.from_us, end_us)),
    )


def _moments(schedule: Schedule) -> Moments:
    """The state from each time on, and each that holds for an instant only."""
    return [(0, schedule.start), *((item.time_us, item.edge.target) for item in schedule.happenings)]


def _holding(values: Iterable[tuple[int, int]]) -> Holding:
    """Without repeated values; of several in one instant the last."""
    last = dict(values)
    found: list[tuple[int, int]] = []
    for time_us, value in last.items():
        if not found or found[-1][1] != value:
            found.append((time_us, value))
    return tuple(found)


def _charts(network: Network, moments: Moments) -> Iterator[ChartCourse]:
    for chart in network.controller.charts:
        course = _holding((time_us, state.memory[chart.number]) for time_us, state in moments)
        yield ChartCourse(name=chart.name, steps=chart.step_names, course=course)


def _signals(network: Network, moments: Moments, from_us: int) -> Iterator[SignalCourse]:
    for bit, name in enumerate(network.output_names):
        yield from _changing(name, "output", moments, from_us, partial(_written, bit))
    for part in network.controller.variables:
        if part.clear is not None and part.cell is not None:
            yield from _changing(part.name, "alarm", moments, from_us, partial(_stored, part.cell))
    for bit, name in enumerate(network.signal_names):
        yield from _changing(name, "input", moments, from_us, partial(_seen, bit))


def _written(bit: int, state: State) -> int:
    return state.written >> bit & 1


def _seen(bit: int, state: State) -> int:
    return state.seen >> bit & 1


def _stored(cell: int, state: State) -> int:
    return int(bool(state.memory[cell]))


def _changing(
    name: str, kind: str, moments: Moments, from_us: int, value: Callable[[State], int]
) -> Iterator[SignalCourse]:
    course = _holding((time_us, value(state)) for time_us, state in moments)
    if any(time_us > from_us for time_us, _ in course) or (kind == "output" and course[-1][1]):
        yield SignalCourse(name=name, kind=kind, course=course)


def _part(machine: Machine, moments: Moments) -> PartCourse:
    places = tuple((time_us, state.plant[machine.index]) for time_us, state in moments)
    words = tuple(dict.fromkeys(_words(machine, place) for _, place in places))
    course = _holding((time_us, words.index(_words(machine, place))) for time_us, place in places)
    return PartCourse(name=machine.name, words=words, course=course, stroke=stroke_of(machine, places))


def _words(machine: Machine, number: int) -> str:
    place = machine.places[number]
    text = place.label.replace("_", " ")
    return f"{text} (failed: {place.mode.replace('_', ' ')})" if place.mode else text


def _events(network: Network, schedule: Schedule, from_us: int, end_us: int) -> Iterator[ReplayEvent]:
    for line in witness_lines(network, schedule):
        if from_us <= line.time_us <= end_us:
            unsaid = [text for text in line.outputs if text not in line.what]
            changed = f" ({', '.join(unsaid)})" if unsaid else ""
            mark = "failure" if line.is_failure else "act" if line.is_act else ""
            yield ReplayEvent(time_us=line.time_us, text=line.what + changed, mark=mark)
