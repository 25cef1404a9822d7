"""All devices and circuits beside a recording: who is driven by what, and what each of them did."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product

from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.condition import names_of
from seqcheck.kernel.machine import Machine
from seqcheck.kernel.network import Network
from seqcheck.language.expression import Expression
from seqcheck.language.sequence import Sequence
from seqcheck.plc.machine_follower import Drives, MachineFollower, Took
from seqcheck.plc.moment import Moment, Recordable, Seen
from seqcheck.plc.truth import ANY, Values, only, possible_values

Outputs = frozenset[int]
"""The outputs, as masks, that may be written."""


@dataclass(frozen=True, slots=True)
class DeviceStep:
    """What one device did at a moment: the motions that ended, or nothing that a sound device does (`is_explained` False)."""

    machine: int
    took: tuple[Took, ...]
    is_explained: bool
    before: frozenset[int]
    """Positions that it may have been in."""


@dataclass(slots=True)
class MachineSide:
    """Followers of all devices, in an order in which each comes after those that it depends on. Mutable; owned by one replay."""

    sequence: Sequence
    network: Network
    recordable: Recordable
    followers: list[MachineFollower] = field(default_factory=list)
    conditions: list[tuple[Expression, ...]] = field(default_factory=list)
    needs: list[frozenset[int]] = field(default_factory=list)
    order: list[int] = field(default_factory=list)
    watched: frozenset[int] = frozenset()
    owners: dict[str, int] = field(default_factory=dict)
    delayed: int = 0
    brief: int = 0
    """Signals that a device may turn on and off in one instant."""
    drives: list[frozenset[int]] = field(default_factory=list)
    seen: Seen = field(default_factory=lambda: Seen(0, 0, ()))

    def __post_init__(self) -> None:
        """Find out who depends on whom."""
        network = self.network
        self.delayed = sum(delay.bit for delay in network.delays)
        for behaviour, machine in zip(behaviours_of(self.sequence), network.machines, strict=True):
            mine = sum(1 << network.names.signals[wire.signal.name] for wire in behaviour.wires)
            self.owners.update({wire.signal.name: machine.index for wire in behaviour.wires})
            self.followers.append(MachineFollower(machine, mine & self.recordable.inputs & ~self.delayed))
            self.brief |= _brief_signals(machine)
            self.conditions.append(tuple(drive.condition for drive in behaviour.drives))
        self.needs = [self._needs(index) for index in range(len(self.followers))]
        self.watched = frozenset(index for needs in self.needs for index in needs)
        self.order = _in_order(self.needs)

    def _needs(self, index: int) -> frozenset[int]:
        """The devices whose positions decide what drives this one."""
        names = [name for condition in self.conditions[index] for name in names_of(condition)]
        facts = {self.network.names.facts[name][0] for name in names if name in self.network.names.facts}
        signals = {self.owners[name] for name in names if name in self.owners and not self._is_recorded(name)}
        return frozenset(facts | signals) - {index}

    def _is_recorded(self, signal: str) -> bool:
        return self.recordable.inputs >> self.network.names.signals[signal] & 1 == 1

    # -- what drives a device --------------------------------------------------------------------------------

    def _drives(
        self, index: int, seen: Seen, outputs: Outputs, known: frozenset[int], *, is_early: bool, open_signals: int = 0
    ) -> frozenset[int]:
        """The drives that the device may feel; `known`: devices whose positions are up to date.

        `open_signals` may have any value.
        """
        signals = self.network.names.signals

        def of_name(name: str) -> Values:
            if name in signals and open_signals >> signals[name] & 1:
                return ANY
            return self._values(name, seen, outputs, known, is_early=is_early)

        options = [possible_values(condition, of_name) for condition in self.conditions[index]]
        return frozenset(
            sum(1 << bit for bit, value in enumerate(values) if value) for values in product(*options)
        )

    def _values(self, name: str, seen: Seen, outputs: Outputs, known: frozenset[int], *, is_early: bool) -> Values:
        names = self.network.names
        if name in names.facts:
            machine, holders = names.facts[name]
            return self._of_positions(machine, holders, known, is_early=is_early)
        if name in names.signals:
            bit = 1 << names.signals[name]
            if bit & self.recordable.inputs:
                return ANY if bit & self.delayed else only(seen.inputs & bit != 0)
            machine = self.owners[name]
            places = self.network.machines[machine].places
            on = frozenset(number for number, place in enumerate(places) if place.signals & bit)
            return self._of_positions(machine, on, known, is_early=is_early)
        if name in names.outputs:
            bit = 1 << names.outputs[name]
            if bit & self.recordable.outputs:
                return only(seen.outputs & bit != 0)
            return frozenset(mask & bit != 0 for mask in outputs) or ANY
        return ANY

    def _of_positions(self, machine: int, holders: frozenset[int], known: frozenset[int], *, is_early: bool) -> Values:
        if machine not in known:
            return ANY
        follower = self.followers[machine]
        places = follower.lately if is_early else follower.positions()
        return frozenset(place in holders for place in places) or ANY

    # -- going on --------------------------------------------------------------------------------------------

    def begin(self, moment: Moment, outputs: Outputs) -> None:
        """Start with what the recording shows first."""
        self.drives = [frozenset() for _ in self.followers]
        known: frozenset[int] = frozenset()
        for index in self.order:
            self._restart(index, moment, outputs, known)
            known |= {index}
        self.seen = moment.seen

    def _restart(self, index: int, moment: Moment, outputs: Outputs, known: frozenset[int]) -> None:
        self.drives[index] = self._drives(index, moment.seen, outputs, known, is_early=False)
        self.followers[index].begin(self.drives[index], moment)

    def take(self, moment: Moment, before: Outputs, after: Outputs, *, is_last: bool = False) -> Iterator[DeviceStep]:
        """Go on to `moment`; what each device did. `before`, `after`: the outputs that may be written then.

        At the last moment every device is looked at, so that what is overdue is found.
        """
        known: frozenset[int] = frozenset()
        for index in self.order:
            early = self.drives[index]
            if self.needs[index] or len(early) > 1:
                early |= self._drives(index, self.seen, before, known, is_early=True)
            late = self._drives(index, moment.seen, after, known, is_early=False)
            if is_last or not self._stays(index, moment, early, late):
                yield from self._step(index, moment, Drives(early, late), after, known)
            self.drives[index] = late
            known |= {index}
        self.seen = moment.seen

    def _stays(self, index: int, moment: Moment, early: frozenset[int], late: frozenset[int]) -> bool:
        """Whether there is nothing to be found out about the device at this moment."""
        follower = self.followers[index]
        if early != late or len(late) > 1 or moment.seen.inputs & follower.mask != follower.signals:
            return False
        if moment.touched & follower.mask:
            return False
        if index not in self.watched:
            return True
        if any(part.since or follower.machine.places[part.position].free for part in follower.standing):
            return False
        follower.lately = follower.positions()
        return True

    def _step(
        self, index: int, moment: Moment, drives: Drives, after: Outputs, known: frozenset[int]
    ) -> Iterator[DeviceStep]:
        follower = self.followers[index]
        before = follower.positions()
        if follower.take(moment, drives):
            if took := follower.agreed():
                yield DeviceStep(index, took, True, before)
            return
        # Something may have happened and gone in no time, as a reset button that is let go as soon as it has done its work.
        passing = self._drives(index, moment.seen, after, known, is_early=False, open_signals=self.brief)
        if follower.take(moment, drives._replace(in_passing=passing, may_pulse=True)):
            follower.agreed()
            return
        if follower.standing:
            yield DeviceStep(index, (), False, before)
        self._restart(index, moment, after, known)


def _brief_signals(machine: Machine) -> int:
    """Signals of positions that the device leaves at once, if its drives say so, in which the signals are otherwise."""
    return sum(
        {
            bit
            for place in machine.places
            if not place.mode
            for move in place.driven
            for bit in _bits(place.signals ^ machine.places[move.target].signals)
        }
    )


def _bits(mask: int) -> list[int]:
    return [1 << bit for bit in range(mask.bit_length()) if mask >> bit & 1]


def _in_order(needs: list[frozenset[int]]) -> list[int]:
    """Each after those that it needs; where they need one another in a circle, in the order of the file."""
    found: list[int] = []
    left = list(range(len(needs)))
    while left:
        ready = next((index for index in left if needs[index] <= set(found)), left[0])
        found.append(ready)
        left.remove(ready)
    return found
