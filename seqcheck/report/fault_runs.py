"""What follows a failure when nobody acts any more: one search for each failure and step, with a clock that runs from the
failure."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from seqcheck.check.bound import WIDENED
from seqcheck.explore.limits import StopReason
from seqcheck.explore.node import Node, Step
from seqcheck.explore.search import Search
from seqcheck.explore.time_loop import steps_taken
from seqcheck.kernel.event import Edge, Pending
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Sequence
from seqcheck.report.aged_seed import aged_seed, network_with
from seqcheck.report.exploration import Begin, Exploration
from seqcheck.report.fault_clock import NOTICED, OVER, FaultClock, clock_monitors
from seqcheck.report.safeguards import safeguards_of
from seqcheck.report.subjects import is_on, subjects_of


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultRun:
    """A finished search from where one failure happens in one step of the main chart."""

    failure: int
    step: int
    begins: tuple[Begin, ...]
    search: Search

    def nodes(self) -> Iterator[Node]:
        """The states that are reached."""
        return (node for node in self.search.nodes.values() if node.numbers)

    def ends(self) -> Iterator[Node]:
        """The states in which nothing more happens by itself, and those in which it still is when the longest time has passed."""
        for node in self.nodes():
            if not node.core.agenda.pending or watch_of(node) & OVER:
                yield node

    def edges(self) -> Iterator[tuple[State, Edge]]:
        """The failures themselves, then everything that follows, with the state before each."""
        for begin in self.begins:
            yield begin.before, begin.edge
        for node in self.nodes():
            for step in steps_taken(node):
                yield node.state, step.edge

    @property
    def is_complete(self) -> bool:
        """Whether everything was explored."""
        return self.search.stop is StopReason.FINISHED


def watch_of(node: Node) -> int:
    """The state of the clock."""
    state = node.watch[0]
    assert isinstance(state, int), "the clock counts in one number"
    return state


def was_noticed(node: Node) -> bool:
    """Whether an alarm has come since the failure."""
    return watch_of(node) & NOTICED != 0


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultTests:
    """The clock's questions: which alarms are on, whether all hazards are at rest, whether web is drawn from the accumulator.

    `is_calm`: nobody has called for a stop, and all energy is on.
    """

    alarms: Callable[[State], int]
    is_safe: Callable[[State], bool]
    is_drawing: Callable[[State], bool]
    is_calm: Callable[[State], bool]


def fault_tests(sequence: Sequence, network: Network) -> FaultTests:
    """The questions for one sequence."""
    cells = [part.cell for part in network.controller.variables if part.clear is not None and part.cell is not None]
    hazardous = [is_on(network, part.name) for part in subjects_of(sequence) if not part.name.endswith(".is_on")]
    calls = [is_on(network, part.fact) for part in safeguards_of(sequence)]
    energy = [is_on(network, f"{circuit.name}.is_on") for circuit in sequence.circuits]
    return FaultTests(
        alarms=lambda state: sum(1 << bit for bit, cell in enumerate(cells) if state.control.memory[cell]),
        is_safe=lambda state: not any(test(state) for test in hazardous),
        is_drawing=_drawing(sequence, network),
        is_calm=lambda state: all(test(state) for test in energy) and not any(test(state) for test in calls),
    )


def _drawing(sequence: Sequence, network: Network) -> Callable[[State], bool]:
    """Web is drawn while the line moves and the unwind is not at speed; never where there is no accumulator between them."""
    device = next((part for part in sequence.devices if part.type_name == "accumulator"), None)
    unwind, line = (device.value("unwind", str), device.value("line", str)) if device else (None, None)
    if unwind is None or line is None:
        return lambda _state: False
    at_speed, stopped = is_on(network, f"{unwind}.is_at_speed"), is_on(network, f"{line}.is_stopped")
    return lambda state: not at_speed(state) and not stopped(state)


def fault_runs(exploration: Exploration, main: int, horizon_us: int) -> Iterator[FaultRun]:
    """Search after search, by failure and step of the chart `main`; forget each before asking for the next."""
    quiet = exploration.quiet
    tests = fault_tests(exploration.sequence, quiet)
    age = Pending(quiet.next_key, horizon_us, horizon_us)
    clock = FaultClock(alarms=tests.alarms, is_safe=tests.is_safe, is_drawing=tests.is_drawing, age=age)
    network = network_with(quiet, clock, "failure")
    monitors = clock_monitors(horizon_us, 4)
    for failure, begins in exploration.failure_begins():
        for step, here in sorted(_by_step(begins, main, tests.is_calm).items()):
            search = Search(
                network=network,
                monitors=monitors,
                again=frozenset((failure,)) if network.failures[failure].is_intermittent else frozenset(),
                limits=exploration.limits,
                notes_parts=False,
                core=exploration.quiet_core,
                store=exploration.store,
            )
            search.begin_with(
                tuple(aged_seed(part.seed, clock.begun(part.before, part.seed.state), horizon_us) for part in here)
            )
            search.run()
            yield FaultRun(failure=failure, step=step, begins=here, search=search)
            search.forget()


def _by_step(
    begins: tuple[Begin, ...], main: int, is_calm: Callable[[State], bool]
) -> dict[int, tuple[Begin, ...]]:
    """Where the failure can happen in a calm step, only that counts: else it would be blamed for what an emergency stop does."""
    found: dict[int, list[Begin]] = {}
    for begin in begins:
        found.setdefault(begin.before.control.memory[main], []).append(begin)
    calm = {step: [part for part in parts if is_calm(part.before)] for step, parts in found.items()}
    return {step: tuple(calm[step] or parts) for step, parts in found.items()}


def rests_on_bound(run: FaultRun) -> bool:
    """Whether anywhere in the run a device is in a motion whose range the model widened."""
    machines = run.search.network.machines
    seen = {node.core.state.positions for node in run.nodes()}
    return any(
        machine.places[number].label.startswith(WIDENED)
        for positions in seen
        for machine, number in zip(machines, positions.numbers, strict=True)
    )


def shortest_run(run: FaultRun) -> tuple[Edge, ...]:
    """The edges of a run with fewest events from the failure to an end, the failure itself first."""
    search = run.search
    wanted = {id(node) for node in run.ends()}
    number = next((number for number, node in enumerate(search.class_nodes) if id(node) in wanted), None)
    if number is None:
        return (run.begins[0].edge,)
    edges: list[Edge] = []
    origin, step = search.parents[number]
    while isinstance(step, Step):
        edges.append(step.edge)
        origin, step = search.parents[origin]
    return (run.begins[origin].edge, *reversed(edges))


