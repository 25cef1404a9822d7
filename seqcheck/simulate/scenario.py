"""A scenario: what happens when in a run, in words that a person can read, keep in a file and run again.

Either every event is listed with its time, or only what people do and what fails, and the other times are chosen by rule. In a
listed run, what is pending and not listed happens at its latest, if nothing listed in that instant takes it away.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from seqcheck.kernel.choices import changes
from seqcheck.kernel.event import FREE, Cause, Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Schedule
from seqcheck.kernel.start import normal_start, starts_with
from seqcheck.kernel.state import State
from seqcheck.simulate.edges import (
    all_edges,
    failing_at_once,
    failing_late,
    read_edges,
    result_of_read,
    without_phase,
)


class Kind(StrEnum):
    """What kind of thing happens; the word before it in a file."""

    ACT = "act"
    FAILS = "fails"
    REPAIRED = "repaired"
    MOVES = "moves"
    EXPIRES = "expires"
    ARRIVES = "arrives"
    WRITES = "writes"
    READS = "reads"


KINDS = {
    Cause.ACT: Kind.ACT,
    Cause.FAULT: Kind.FAILS,
    Cause.REPAIR: Kind.REPAIRED,
    Cause.MOVE: Kind.MOVES,
    Cause.TIMER: Kind.EXPIRES,
    Cause.DELAY: Kind.ARRIVES,
    Cause.WRITE: Kind.WRITES,
    Cause.READ: Kind.READS,
}
BY_HAND = (Kind.ACT, Kind.FAILS, Kind.REPAIRED)
"""What may be listed where the other times are chosen by rule."""

BY_CONTROLLER = (Kind.WRITES, Kind.READS)
"""What these do follows from the state; what is listed of them is for the reader."""

NOTHING = "nothing"
"""What a read that changes nothing does."""


class Times(StrEnum):
    """How the times of what is not listed are chosen."""

    LISTED = "as listed"
    EARLIEST = "earliest"
    LATEST = "latest"
    RANDOM = "random"


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """At `time_us` this happens. `failures`: those that happen in the same instant. `outcome`: which of several, counted from 0."""

    time_us: int
    kind: Kind
    what: str
    failures: tuple[str, ...] = ()
    outcome: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """How the machine is found at power-up: positions of devices, the steps that memory has kept (none: cold), and flags on."""

    devices: tuple[tuple[str, str], ...]
    steps: tuple[tuple[str, str], ...] = ()
    flags: tuple[str, ...] = ()
    outcome: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """A run to be run again. `requirements`: ids of those that it was made for; empty for all.

    `found` None: the normal start. `reads_us`: the reads that change nothing, in a listed run.
    """

    title: str
    requirements: tuple[str, ...] = ()
    times: Times = Times.LISTED
    seed: int = 0
    until_us: int
    found: Found | None = None
    listed: tuple[Listed, ...] = ()
    reads_us: tuple[int, ...] = ()


# -- from a run to its scenario --------------------------------------------------------------------------------


def scenario_of(
    network: Network, schedule: Schedule, title: str, requirements: tuple[str, ...], end_us: int
) -> Scenario:
    """The scenario of a run on `network`, which has neither inputs nor contacts chosen at the read."""
    listed: list[Listed] = []
    idle_us = list(schedule.idle_read_times_us)
    state = without_phase(network, schedule.start)
    returning: set[str] = set()
    for happening in schedule.happenings:
        _pass_idle(idle_us, happening.time_us, listed)
        if idle_us and idle_us[0] == happening.time_us and _is_idle_now(network, state):
            listed.append(Listed(time_us=idle_us.pop(0), kind=Kind.READS, what=NOTHING))
        edge = happening.edge
        if edge.event.cause is not Cause.AGE:
            listed.append(_listed(network, state, edge, happening.time_us, frozenset(returning)))
        returning |= set(edge.event.faults)
        state = without_phase(network, edge.target)
    _pass_idle(idle_us, end_us + 1, listed)
    placed = {item.time_us for item in listed if item.what == NOTHING}
    return Scenario(
        title=title,
        requirements=requirements,
        until_us=end_us,
        found=_found(network, schedule.start),
        listed=tuple(listed),
        reads_us=tuple(time_us for time_us in schedule.idle_read_times_us if time_us not in placed),
    )


def _pass_idle(idle_us: list[int], until_us: int, listed: list[Listed]) -> None:
    """Pass the idle reads before a moment; one that comes after something listed in its instant is listed too."""
    while idle_us and idle_us[0] < until_us:
        time_us = idle_us.pop(0)
        if listed and listed[-1].time_us == time_us:
            listed.append(Listed(time_us=time_us, kind=Kind.READS, what=NOTHING))


def _is_idle_now(network: Network, state: State) -> bool:
    """Whether a read may take place in this state, and would change nothing."""
    return state.computed == state.written and not changes(state, result_of_read(network, state))


def _listed(network: Network, state: State, edge: Edge, time_us: int, failed: frozenset[str]) -> Listed:
    plain = Listed(time_us=time_us, kind=KINDS[edge.event.cause], what=what_of(edge), failures=beside(edge))
    same = [found for found in fitting(network, state, plain, failed) if _core(found) == _core(edge)]
    places = [number for number, found in enumerate(fitting(network, state, plain, failed)) if found in same]
    return replace(plain, outcome=places[0] if places else 0)


def _core(edge: Edge) -> State:
    return edge.target._replace(watch=(), scan=0)


def what_of(edge: Edge) -> str:
    """What happens, as a scenario names it."""
    event = edge.event
    if event.cause is Cause.REPAIR:
        return event.acts[0][1].removeprefix("repair ")
    if event.cause is Cause.FAULT and event.faults:
        return event.faults[0]
    return f"{event.subject} {event.action}" if event.cause is not Cause.READ else event.action


def beside(edge: Edge) -> tuple[str, ...]:
    """The failures that happen with it in the same instant."""
    faults = edge.event.faults
    return tuple(sorted(faults[1:] if edge.event.cause is Cause.FAULT else faults))


def _found(network: Network, start: State) -> Found | None:
    if any(_same_start(known.state, start) for known in normal_start(network)[:1]):
        return None
    devices = tuple(
        (machine.name, machine.places[position].label)
        for machine, position in zip(network.machines, start.plant, strict=True)
    )
    cold = start.memory == network.controller.initial_memory
    steps = tuple(
        (chart.name, chart.step_names[start.memory[chart.number]]) for chart in network.controller.charts
    )
    kept = network.controller.retained_flags
    flags = tuple(name for name, cells in kept if start.memory[cells[0]])
    found = Found(devices=devices, steps=() if cold else steps, flags=flags)
    outcomes = [
        number for number, known in enumerate(starts_found(network, found)) if _same_start(known, start)
    ]
    return replace(found, outcome=outcomes[0] if outcomes else 0)


def _same_start(one: State, other: State) -> bool:
    return (one.memory, one.plant, one.seen) == (other.memory, other.plant, other.seen)


def starts_found(network: Network, found: Found) -> tuple[State, ...]:
    """The states that `found` describes; devices and charts not named are as at a normal start."""
    devices, steps = dict(found.devices), dict(found.steps)
    plant = tuple(
        next(
            (
                number
                for number, place in enumerate(machine.places)
                if place.label == devices.get(machine.name)
            ),
            machine.initial,
        )
        for machine in network.machines
    )
    cold = network.controller.initial_memory
    active = tuple(
        chart.step_names.index(steps[chart.name])
        if steps.get(chart.name) in chart.step_names
        else cold[chart.number]
        for chart in network.controller.charts
    )
    return tuple(start.state for start in starts_with(network, active if steps else None, plant, found.flags))


# -- from a listed event to what can happen ----------------------------------------------------------------------


def fitting(network: Network, state: State, wanted: Listed, failed: frozenset[str]) -> tuple[Edge, ...]:
    """The edges out of `state` that `wanted` may mean; `failed` have happened before, intermittent ones may return."""
    for failing in (failing_late(network), failing_at_once(network)):
        found = tuple(
            edge
            for edge in _edges(failing, state, wanted, failed)
            if KINDS.get(edge.event.cause) is wanted.kind
            and beside(edge) == tuple(sorted(wanted.failures))
            and (wanted.kind in BY_CONTROLLER or what_of(edge) == wanted.what)
        )
        if found:
            return found
    return ()


def _edges(network: Network, state: State, wanted: Listed, failed: frozenset[str]) -> Iterator[Edge]:
    names = {*wanted.failures, *((wanted.what,) if wanted.kind is Kind.FAILS else ())}
    modes = [mode for mode in network.failures if mode.name in names]
    allowed = frozenset(mode.index for mode in modes)
    again = frozenset(mode.index for mode in modes if mode.is_intermittent and mode.name in failed)
    budget = len(allowed - again)
    if wanted.kind is Kind.READS:
        yield from read_edges(network, state, allowed, budget, again)
    else:
        edges = all_edges(network, state, allowed, budget, again)
        yield from (edge for edge in edges if edge.event.key != FREE or wanted.kind in (*BY_HAND, Kind.MOVES))
