"""The state once an instant has settled: what a read would see, whether one is demanded, what the monitors noticed."""

from __future__ import annotations

from seqcheck.kernel.choices import sound_reads
from seqcheck.kernel.event import Mark
from seqcheck.kernel.network import Network
from seqcheck.kernel.settle import Work
from seqcheck.kernel.state import IDLE, ON_DEMAND, State
from seqcheck.kernel.watch import Glance


def finished_state(network: Network, work: Work, watch: tuple[object, ...]) -> State:
    """The settled state of a working copy, with the scan's demand worked out."""
    seen = work.signals & network.undelayed | work.seen & ~network.undelayed
    state = State(
        network.control(work.memory, work.computed, work.written), work.scan, network.positions(tuple(work.plant)),
        work.stuck_on, work.stuck_off, work.signals, seen, watch,  # type: ignore[arg-type]
    )  # fmt: skip
    return with_demand(network, state)


def with_demand(network: Network, state: State) -> State:
    """The state with a read pending on demand, if reads were idle and one would now change something."""
    if state.scan == IDLE and not network.options.controller_fault and sound_reads(network, state.control, state.seen).is_demanded:
        return state._replace(scan=ON_DEMAND)
    return state


def watched(
    network: Network, state: State, glance: Glance
) -> tuple[State, tuple[Mark, ...], frozenset[int]]:
    """The state with its watches brought up to date, what they noticed, and the ages that start anew."""
    marks: list[Mark] = []
    restarted: list[int] = []
    following = []
    for watch, watch_state in zip(network.watches, state.watch, strict=True):
        new_state, noticed, ages = watch.look(watch_state, glance)
        following.append(new_state)
        marks.extend(noticed)
        marks.extend(watch.sight(state))
        restarted.extend(ages)
    return state._replace(watch=tuple(following)), tuple(marks), frozenset(restarted)
