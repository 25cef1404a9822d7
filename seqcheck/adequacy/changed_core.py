"""Network states of a changed sequence that share what the change cannot touch with those of the sequence itself.

A changed condition, target, order or action matters to a run of the controller only if certain steps are active when it begins. In
every other state the edges are those of the original, which are worked out once for all changes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from seqcheck.adequacy.change import Anywhere, Change, ChangeKind, InSteps, OnceLate, Touched, WhileAlarm
from seqcheck.explore.core import FREE_EVENTS, Allowance, CoreEdge, CoreNode, CoreStore
from seqcheck.kernel.controller import Controller
from seqcheck.kernel.fire import Firing
from seqcheck.kernel.memory import TIMER_EXPIRED, TIMER_RUNNING
from seqcheck.kernel.network import Network
from seqcheck.kernel.pending import core_agenda
from seqcheck.kernel.state import State

Memory = tuple[int, ...]
IsTouched = Callable[[Memory], bool]


class ChangedCore(CoreStore):
    """The core nodes of a changed network. `is_touched` says in which memories of the controller a read may go otherwise.

    `stretched` is the cell of a timer whose length has changed, or None.
    """

    def __init__(self, network: Network, original: CoreStore, is_touched: IsTouched, stretched: int | None) -> None:
        """Start with the original's nodes."""
        super().__init__(network)
        self._original = original
        self._is_touched = is_touched
        self._stretched = stretched
        self._stretched_nodes: dict[State, CoreNode] = {}
        self._changed: dict[tuple[CoreNode, Allowance, int], tuple[CoreEdge, ...]] = {}

    def node(self, state: State) -> CoreNode:
        """The original's node, unless a timer with another length runs in it."""
        if self._stretched is None or state.control.memory[self._stretched] != TIMER_RUNNING:
            return self._original.node(state)
        node = self._stretched_nodes.get(state)
        if node is None:
            # Numbers below zero, which the original does not use.
            number = -1 - len(self._stretched_nodes)
            node = self._stretched_nodes[state] = CoreNode(number, state, core_agenda(self.network, state))
        return node

    def edges(self, node: CoreNode, index: int, allowance: Allowance) -> tuple[CoreEdge, ...]:
        """The original's edges where the change cannot touch them."""
        is_touched = self._is_touched(node.state.control.memory)
        if not is_touched and self._stretched is None:
            return self._original.edges(node, index, allowance)
        known = self._changed.get((node, allowance, index))
        if known is None:
            known = self._fired(node, index, allowance) if is_touched else self._led_here(node, index, allowance)
            self._changed[node, allowance, index] = known
        return known

    def _led_here(self, node: CoreNode, index: int, allowance: Allowance) -> tuple[CoreEdge, ...]:
        original = self._original.edges(self._original.node(node.state), index, allowance)
        return tuple((edge, self.node(edge.target)) for edge, _ in original)

    def _fired(self, node: CoreNode, index: int, allowance: Allowance) -> tuple[CoreEdge, ...]:
        firing = Firing(self.network, node.state, *allowance, node.agenda)
        found = firing.free_edges() if index == FREE_EVENTS else firing.fire_pending(node.agenda.pending[index])
        return tuple((edge, self.node(edge.target)) for edge in found)


def has_same_layout(network: Network, original: Network) -> bool:
    """Whether states of one network mean the same in the other."""
    return _layout(network) == _layout(original)


def _layout(network: Network) -> tuple[object, ...]:
    controller = network.controller
    return (
        controller.cell_labels,
        tuple((timer.cell, timer.key) for timer in controller.timers),
        tuple((variable.name, variable.output_bit, variable.cell) for variable in controller.variables),
        network.output_names,
        network.signal_names,
        network.chosen,
        network.contacts_at_read,
        tuple(mode.name for mode in network.failures),
    )


def sharing(network: Network, original: Network) -> Network:
    """`network`, a changed controller at the original's machine, with all that is known of that machine."""
    is_same_time = network.controller.timers == original.controller.timers
    memo = replace(original.memo, reads={}, timers=original.memo.timers if is_same_time else {})
    return replace(network, memo=memo)


def stretched_timer(network: Network, original: Network) -> int | None:
    """The cell of the timer whose length differs, or None."""
    pairs = zip(network.controller.timers, original.controller.timers, strict=True)
    return next((new.cell for new, old in pairs if new.length_us != old.length_us), None)


def without_watchdog(network: Network, touched: OnceLate) -> Network:
    """The network in which nobody looks at the watchdog of a step any more."""
    before = network.controller
    cell = network.names.watchdogs[f"{touched.chart}.{touched.step}.late"]
    controller = Controller(
        charts=before.charts,
        variables=before.variables,
        watchdogs=tuple(dog for dog in before.watchdogs if dog.timer.cell != cell),
        clear_blocks=before.clear_blocks,
        timers=before.timers,
        initial_memory=before.initial_memory,
        cell_labels=before.cell_labels,
    )
    return replace(network, controller=controller)


def divergence(network: Network, change: Change) -> IsTouched:
    """Where runs of the changed sequence part from those of the original: in reads that may go otherwise.

    With a longer watchdog time itself runs otherwise once its step is entered, so they part in the steps before it.
    """
    if change.kind is not ChangeKind.STRETCH_WATCHDOG:
        return touches(network, change.touched)
    chart = change.sequence.chart(change.subject.chart)
    target = change.subject.target
    before = {step.name for step in chart.steps for way in chart.transitions_of(step) if way.target == target}
    return touches(network, InSteps(chart.name, frozenset(before)))


def touches(network: Network, touched: Touched) -> IsTouched:
    """Whether a run of the controller that begins with a memory may go otherwise."""
    match touched:
        case InSteps(chart, steps):
            block = next(block for block in network.controller.charts if block.name == chart)
            number = block.number
            active = frozenset(index for index, name in enumerate(block.step_names) if name in steps)
            return lambda memory: memory[number] in active
        case WhileAlarm(alarm):
            cell = network.names.cells[alarm]
            return lambda memory: memory[cell] != 0
        case OnceLate(chart, step):
            late = network.names.watchdogs[f"{chart}.{step}.late"]
            return lambda memory: memory[late] == TIMER_EXPIRED
        case Anywhere():
            return lambda _memory: True
