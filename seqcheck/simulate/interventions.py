"""What somebody or something does to a run from outside: an act, a failure or a repair at a named time."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.kernel.event import Cause, Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.quantities.time import format_time
from seqcheck.simulate.edges import failing_at_once, free_edges


class Does(Enum):
    """The kinds of intervention."""

    ACT = "acts"
    FAIL = "fails"
    REPAIR = "is repaired"


@dataclass(frozen=True, slots=True, kw_only=True)
class Intervention:
    """At `time_us`, `subject` acts, fails or is repaired.

    `subject` is a device for an act (`action` is the act's name; empty: its first possible one), else a
    failure (`knife.jams`).
    """

    time_us: int
    does: Does
    subject: str
    action: str = ""

    @property
    def text(self) -> str:
        """As a person says it."""
        what = self.action or self.does.value
        return f"{self.subject} {what} at {format_time(self.time_us)}"


def edge_for(network: Network, state: State, wanted: Intervention) -> Edge | None:
    """The edge of an intervention in `state`, or None if it is not possible there."""
    match wanted.does:
        case Does.ACT:
            return _act(network, state, wanted)
        case Does.FAIL:
            return _failure(network, state, wanted.subject)
        case Does.REPAIR:
            return _repair(network, state, wanted.subject)


def _act(network: Network, state: State, wanted: Intervention) -> Edge | None:
    for edge in free_edges(network, state):
        event = edge.event
        fits = event.subject == wanted.subject and wanted.action in ("", event.action)
        if event.cause is Cause.ACT and fits:
            return edge
    return None


def _failure(network: Network, state: State, name: str) -> Edge | None:
    mode = network.failure_named(name)
    if mode is None:
        return None
    edges = free_edges(failing_at_once(network), state, frozenset({mode.index}))
    return next((edge for edge in edges if edge.event.faults == (name,)), None)


def _repair(network: Network, state: State, name: str) -> Edge | None:
    wanted = f"repair {name}"
    for edge in free_edges(failing_at_once(network), state):
        if edge.event.cause is Cause.REPAIR and any(act == wanted for _, act in edge.event.acts):
            return edge
    return None
