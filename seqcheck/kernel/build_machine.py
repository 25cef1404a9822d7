"""From a device's behaviour to the numbered tables that the kernel runs."""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.kernel.condition import compile_condition
from seqcheck.kernel.event import Pending
from seqcheck.kernel.failure_mode import FailureMode
from seqcheck.kernel.machine import BodyFailure, DrivenMove, FreeMove, Machine, Place, TimedMove
from seqcheck.kernel.memory import MemoryLayout
from seqcheck.kernel.names import NameTable
from seqcheck.plant.behaviour import Behaviour, Move, Position

PositionId = tuple[str, str]
"""Name and mode."""


@dataclass(slots=True)
class MachineBuilder:
    """Builds the machine of one behaviour. `allowed_acts` None allows every act of the device."""

    index: int
    behaviour: Behaviour
    names: NameTable
    layout: MemoryLayout
    failures: tuple[FailureMode, ...]
    acts_allowed: bool
    event_names: dict[int, tuple[str, str]]
    numbers: dict[PositionId, int] = field(default_factory=dict)
    keys: dict[tuple[str, int, int | None], int] = field(default_factory=dict)

    def build(self) -> Machine:
        """The machine. The name table must hold all names by now."""
        for position in self.behaviour.positions:
            self.numbers[position.name, position.mode] = len(self.numbers)
        places = tuple(self._place(position) for position in self.behaviour.positions)
        return Machine(
            index=self.index,
            name=self.behaviour.device,
            places=places,
            initial=self.numbers[self.behaviour.initial, ""],
            drives=tuple(
                compile_condition(drive.condition, self.names.machine_test) for drive in self.behaviour.drives
            ),
            facts=facts_of(self.behaviour),
            moving=frozenset(
                number
                for number, position in enumerate(self.behaviour.positions)
                if position.facts & set(self.behaviour.moving_facts)
            ),
            contact_failures=self._contacts(),
            quiet_origins=_quiet_origins(places),
        )

    def _contacts(self) -> dict[int, tuple[int | None, int | None]]:
        found: dict[int, tuple[int | None, int | None]] = {}
        for failure in self.failures:
            if failure.contact:
                on, off = found.get(failure.contact, (None, None))
                found[failure.contact] = (failure.index, off) if failure.stuck_on else (on, failure.index)
        return found

    def _place(self, position: Position) -> Place:
        return Place(
            label=position.name,
            mode=position.mode,
            signals=self._signals(position),
            driven=tuple(
                DrivenMove(*self._when(move), self._target(position, move), move.name)
                for move in position.moves
                if move.after is None and move.act is None
            ),
            timed=tuple(self._timed(position, move) for move in position.moves if move.after is not None),
            free=self._free(position),
            failures=tuple(self._failures(position)),
            repair=self._repair(position),
            is_rest=position.is_rest,
        )

    def _signals(self, position: Position) -> int:
        wired = {wire.role: self.names.signals[wire.signal.name] for wire in self.behaviour.wires}
        return sum(1 << wired[role] for role in position.signals if role in wired)

    def _when(self, move: Move) -> tuple[int, int]:
        roles = [drive.role for drive in self.behaviour.drives]
        mask = sum(1 << roles.index(role) for role, _ in move.when)
        return mask, sum(1 << roles.index(role) for role, value in move.when if value)

    def _target(self, position: Position, move: Move) -> int:
        return self.numbers[move.to, position.mode]

    def _timed(self, position: Position, move: Move) -> TimedMove:
        assert move.after is not None
        identity = (move.name, move.after.earliest_us, move.after.latest_us)
        if identity not in self.keys:
            self.keys[identity] = self.layout.key()
            self.event_names[self.keys[identity]] = (self.behaviour.device, move.name)
        pending = Pending(self.keys[identity], move.after.earliest_us, move.after.latest_us)
        return TimedMove(*self._when(move), self._target(position, move), move.name, pending)

    def _free(self, position: Position) -> tuple[FreeMove, ...]:
        return tuple(
            FreeMove(*self._when(move), self._target(position, move), move.act, not move.unobserved)
            for move in position.moves
            if move.act is not None and (move.unobserved or self.acts_allowed)
        )

    def _failures(self, position: Position) -> list[BodyFailure]:
        if position.mode:
            return []
        found = []
        for failure in self.failures:
            mode = failure.name.split(".", 1)[1]
            plant_mode = next(part.mode for part in self.behaviour.failures if part.name == mode)
            name = dict(position.fails_as).get(plant_mode, position.name)
            if failure.contact or (name, plant_mode) not in self.numbers:
                continue
            failed = self.behaviour.positions[self.numbers[name, plant_mode]]
            target = self.numbers[name, plant_mode]
            found.append(BodyFailure(failure.index, target, is_quiet(position, failed)))
        return found

    def _repair(self, position: Position) -> int | None:
        if not position.mode:
            return None
        return self.numbers.get((position.repaired_as or position.name, ""))


def _quiet_origins(places: tuple[Place, ...]) -> dict[tuple[int, int], tuple[int, ...]]:
    found: dict[tuple[int, int], tuple[int, ...]] = {}
    for number, place in enumerate(places):
        for part in place.failures:
            if part.is_quiet:
                origins = found.get((part.failure, part.target), ())
                found[part.failure, part.target] = (*origins, number)
    return found


def is_quiet(healthy: Position, failed: Position) -> bool:
    """Whether the failure shows nothing at once and only takes possibilities away.

    Every move of the failed position must also be one of the healthy position, with the same range; then each run with the
    failure at once is also a run with the failure at the moment in which a move would go otherwise.
    """
    if healthy.facts != failed.facts or healthy.signals != failed.signals:
        return False
    return all(move in healthy.moves for move in failed.moves)


def facts_of(behaviour: Behaviour) -> dict[str, frozenset[int]]:
    """For each fact the numbers of the positions in which it is true."""
    return {
        fact: frozenset(
            number for number, position in enumerate(behaviour.positions) if fact in position.facts
        )
        for fact in behaviour.facts
    }
