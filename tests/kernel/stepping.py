"""A network moved by hand, event by event, told in words: for tests that spell out one run."""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.build import build_network
from seqcheck.kernel.event import READ, WRITE, Cause, Edge
from seqcheck.kernel.fire import successors
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.observer import Monitor
from seqcheck.kernel.pending import pending_events
from seqcheck.kernel.start import normal_start
from seqcheck.kernel.state import State
from seqcheck.reader.read import read_sequence_text

PLAIN = NetworkOptions(late=False, at_read=False, choose=False)
"""No reduction: a button is a device, a failure happens when it happens."""

SCAN = "sequence: Trial\nscan: {period: 4..10 ms, write: 0..3 ms}\n"
AT_ONCE = "sequence: Trial\nscan: {period: 4..10 ms, write: 0 ms}\n"


def network_of(
    text: str, options: NetworkOptions = PLAIN, monitors: tuple[Monitor, ...] = (), scan: str = AT_ONCE
) -> Network:
    """The network of a file that lacks only its first two lines."""
    return build_network(read_sequence_text(scan + text, "trial.yaml"), monitors, options)


@dataclass(slots=True)
class ByHand:
    """A run moved by hand. `allowed` failures may happen `budget` times; `last` is the event fired last."""

    network: Network
    budget: int = 0
    again: frozenset[int] = frozenset()
    state: State = field(init=False)
    last: Edge | None = None

    def __post_init__(self) -> None:
        (start,) = normal_start(self.network)
        self.state = start.state

    def choices(self) -> dict[str, list[Edge]]:
        """All that can happen next, by sentence."""
        allowed = frozenset(mode.index for mode in self.network.failures)
        found: dict[str, list[Edge]] = {}
        for edge in successors(self.network, self.state, allowed, self.budget, self.again):
            found.setdefault(sentence(edge), []).append(edge)
        return found

    def fire(self, *sentences: str) -> ByHand:
        """Let these events happen one after the other; each must be possible in just one way."""
        for text in sentences:
            choices = self.choices()
            assert text in choices, f"{text!r} is not among {sorted(choices)}"
            (edge,) = choices[text]
            self.last, self.state = edge, edge.target
        return self

    def pending(self) -> dict[str, tuple[int, int | None]]:
        """What time will bring, with earliest and latest since it became pending, in microseconds."""
        return {
            self._name(event.key): (event.earliest_us, event.latest_us)
            for event in pending_events(self.network, self.state)
        }

    def goes_on(self) -> set[str]:
        """The pending events that the event fired last did not touch: they go on counting."""
        assert self.last is not None
        return {self._name(key) for key in self.last.kept}

    def _name(self, key: int) -> str:
        return {READ: "read", WRITE: "write"}.get(key) or " ".join(self.network.event_names[key])

    def steps(self) -> tuple[str, ...]:
        """The active step of each chart."""
        charts = self.network.controller.charts
        return tuple(chart.step_names[self.state.memory[chart.number]] for chart in charts)

    def cell(self, label: str) -> int:
        """What the controller remembers under a name."""
        return self.state.memory[self.network.controller.cell_labels.index(label)]

    def outputs(self) -> tuple[str, ...]:
        """Outputs as last written."""
        return self.network.outputs_in(self.state.written)

    def signals(self) -> tuple[str, ...]:
        """Contacts that are on."""
        return self.network.signals_in(self.state.signals)

    def position(self, device: str) -> str:
        """Where a device is, with its failed mode."""
        machine = self.network.machines[self.network.machine_index[device]]
        place = machine.places[self.state.plant[machine.index]]
        return f"{place.mode}/{place.label}" if place.mode else place.label


def sentence(edge: Edge) -> str:
    """What happened, shortly: `read`, `write`, `knife leaving`, `hood opens`, with failures in brackets."""
    event = edge.event
    words = {Cause.READ: "read", Cause.WRITE: "write"}.get(event.cause) or f"{event.subject} {event.action}"
    faults = [] if event.cause is Cause.FAULT else list(event.faults)
    return f"{words} [{', '.join(faults)}]" if faults else words
