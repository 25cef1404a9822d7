"""Two controllers at one machine, in lockstep: the leader's outputs act, the follower runs beside it on the same inputs.

As long as both do the same, the state of one tells that of the other, so that what they have in common is kept once: a cell of
the follower is the leader's cell with the same label, a step the one with the same name, a timer the one with the same label and
length. Only what the follower has alone is kept beside, and in a last cell whether the two have parted.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from seqcheck.kernel.controller import Controller
from seqcheck.kernel.memory import TimerCell
from seqcheck.kernel.network import Memo, Network
from seqcheck.kernel.reading import Reading, ReadResult

Label = tuple[str, int, int]
"""What a cell is known by in both controllers: its label, the length of its timer (else -1), and which of several it is."""

NO_STEP = -1
"""In place of a step that the follower does not have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lockstep(Controller):
    """The leader as a controller, with the follower's own cells behind its own.

    `cells`: for each cell of the follower where it is kept. `steps`: for each chart that both have, by its cell in the follower,
    what the leader's steps are called there. `keys`: the keys here of the follower's own timers.
    """

    leader: Controller
    follower: Controller
    cells: tuple[int, ...]
    steps: dict[int, tuple[int, ...]]
    keys: dict[int, int]

    def _run(self, reading: Reading) -> ReadResult:
        mine, theirs = self.both(reading.before, reading.seen, reading.written)
        restarted = frozenset(self.keys[key] for key in theirs.restarted if key in self.keys)
        together = (*mine.memory, *self._own(theirs), 0)
        has_parted = mine.computed != theirs.computed or self.followers(together) != theirs.memory
        return mine._replace(
            memory=(*together[:-1], int(has_parted)), restarted=mine.restarted | restarted, used=mine.used | theirs.used
        )

    def _own(self, theirs: ReadResult) -> tuple[int, ...]:
        return tuple(theirs.memory[cell] for cell, place in enumerate(self.cells) if place >= self.size)

    @property
    def size(self) -> int:
        """Cells of the leader."""
        return len(self.leader.initial_memory)

    def both(self, memory: tuple[int, ...], seen: int, written: int) -> tuple[ReadResult, ReadResult]:
        """One run of the leader and one of the follower."""
        mine = self.leader.read(memory[: self.size], seen, written)
        return mine, self.follower.read(self.followers(memory), seen, written)

    def followers(self, memory: tuple[int, ...]) -> tuple[int, ...]:
        """What the follower's memory is while the two have not parted."""
        found = [memory[place] for place in self.cells]
        for cell, names in self.steps.items():
            found[cell] = names[found[cell]]
        return tuple(found)


def in_lockstep(leader: Network, follower: Network) -> Network | None:
    """The leader's network with the follower's controller beside its own; None if the two cannot be at the same machine.

    Both networks must be of the same devices and options. The follower's steps and cells are told by name.
    """
    if leader.signal_names != follower.signal_names or leader.output_names != follower.output_names:
        return None
    extra = _own_cells(leader.controller, follower.controller)
    controller = _controller(leader, follower, extra)
    if controller.followers(controller.initial_memory) != follower.controller.initial_memory:
        return None
    own = controller.timers[len(leader.controller.timers) :]
    return replace(
        leader,
        controller=controller,
        movers={**leader.movers, **{timer.key: timer for timer in own}},
        event_names={**leader.event_names, **{timer.key: (timer.label, "expires") for timer in own}},
        next_key=leader.next_key + len(own),
        memo=Memo(),
    )


def _controller(leader: Network, follower: Network, extra: dict[int, int]) -> Lockstep:
    mine, theirs = leader.controller, follower.controller
    places = {label: cell for cell, label in enumerate(_labels(mine))}
    cells = tuple(extra.get(cell, places.get(label, 0)) for cell, label in enumerate(_labels(theirs)))
    own = [timer for timer in theirs.timers if timer.cell in extra]
    timers = tuple(
        TimerCell(extra[timer.cell], leader.next_key + number, timer.length_us, f"{timer.label} (in the other file)")
        for number, timer in enumerate(own)
    )
    return Lockstep(
        charts=mine.charts,
        variables=mine.variables,
        watchdogs=mine.watchdogs,
        clear_blocks=mine.clear_blocks,
        timers=(*mine.timers, *timers),
        initial_memory=(*mine.initial_memory, *(theirs.initial_memory[cell] for cell in extra), 0),
        cell_labels=(*mine.cell_labels, *(theirs.cell_labels[cell] for cell in extra), "parted"),
        leader=mine,
        follower=theirs,
        cells=cells,
        steps=dict(_steps(mine, theirs)),
        keys={old.key: new.key for old, new in zip(own, timers, strict=True)},
    )


def _own_cells(mine: Controller, theirs: Controller) -> dict[int, int]:
    """The follower's cells that the leader has not, and where they are kept: behind the leader's."""
    known = set(_labels(mine))
    own = [cell for cell, label in enumerate(_labels(theirs)) if label not in known]
    return {cell: len(mine.cell_labels) + number for number, cell in enumerate(own)}


def _labels(controller: Controller) -> list[Label]:
    lengths = {timer.cell: timer.length_us for timer in controller.timers}
    seen: Counter[tuple[str, int]] = Counter()
    found = []
    for cell, text in enumerate(controller.cell_labels):
        label = (text, lengths.get(cell, -1))
        found.append((*label, seen[label]))
        seen[label] += 1
    return found


def _steps(mine: Controller, theirs: Controller) -> Iterator[tuple[int, tuple[int, ...]]]:
    known = {chart.name: chart.step_names for chart in mine.charts}
    for chart in theirs.charts:
        if chart.name in known:
            numbers = {name: number for number, name in enumerate(chart.step_names)}
            yield chart.number, tuple(numbers.get(name, NO_STEP) for name in known[chart.name])
