"""A deviation in words: what was expected, what is there, and what would explain it."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.kernel.condition import names_of
from seqcheck.kernel.network import Network
from seqcheck.language.expression import (
    And,
    EdgeCall,
    Expression,
    Name,
    Not,
    Or,
    StepTime,
    TimerCall,
    Xor,
    to_text,
)
from seqcheck.language.sequence import Sequence
from seqcheck.plc.channel import Channel, ChannelKind
from seqcheck.plc.controller_follower import ControllerFollower, Shown
from seqcheck.plc.held import LONG_AGO_US, NEVER_US, Held
from seqcheck.plc.machine_follower import Keeping, MachineFollower, Took
from seqcheck.plc.moment import Moment, Seen
from seqcheck.plc.replayed import Deviation, Side
from seqcheck.quantities.time import format_time

MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class Words:
    """Names things of a sequence as its file does."""

    sequence: Sequence
    network: Network
    channels: tuple[Channel, ...]

    def steps(self, memory: tuple[int, ...]) -> tuple[str, ...]:
        """The active steps."""
        charts = self.network.controller.charts
        return tuple(f"{chart.name}.{chart.step_names[memory[chart.number]]}" for chart in charts)

    def common_steps(self, held: tuple[Held, ...]) -> tuple[str, ...]:
        """The steps that are active in all that may be held."""
        every = [self.steps(part.memory) for part in held]
        if not every:
            return ()
        return tuple(steps[0] if len(set(steps)) == 1 else "?" for steps in zip(*every, strict=True) if len(set(steps)) == 1)

    def differences(self, shown: Shown, other: Shown) -> list[str]:
        """What `shown` says where the two differ."""
        found = []
        cells = [item for item in self.channels if item.kind in (ChannelKind.STEP, ChannelKind.CELL)]
        for item, value, against in zip(cells, shown[1], other[1], strict=True):
            if value != against:
                found.append(self._cell(item, value))
        changed = shown[0] ^ other[0]
        for bit, name in enumerate(self.network.output_names):
            if changed >> bit & 1:
                found.append(f"{name} {'on' if shown[0] >> bit & 1 else 'off'}")
        return found

    def _cell(self, item: Channel, value: int) -> str:
        if item.kind is ChannelKind.CELL:
            return f"{item.name} {'on' if value else 'off'}"
        return f"{item.name} in {self.network.controller.charts[item.number].step_names[value]}"

    # -- the controller --------------------------------------------------------------------------------------

    def controller_left(self, follower: ControllerFollower, moment: Moment) -> Deviation:
        """The controller did something else, or did not do what was due."""
        wanted = (moment.seen.outputs, moment.seen.cells)
        there = [
            node
            for node in follower.explored
            if node.inputs == moment.seen.inputs and follower.waits_until(node) >= moment.earliest_us
        ]
        if there:
            best = min(there, key=lambda node: (len(self.differences(follower.shown(node), wanted)), -node.lo_us))
            return self._did(follower, moment, follower.shown(best), wanted)
        return self._did_not(follower, moment)

    def _did(self, follower: ControllerFollower, moment: Moment, best: Shown, wanted: Shown) -> Deviation:
        return Deviation(
            side=Side.CONTROLLER,
            time_us=moment.time_us,
            line=moment.line,
            subject="controller",
            steps=self.common_steps(follower.held),
            expected=", ".join(self.differences(best, wanted)),
            found=", ".join(self.differences(wanted, best)),
            because=tuple(self._ways(follower, moment, best, wanted)),
        )

    def _did_not(self, follower: ControllerFollower, moment: Moment) -> Deviation:
        before = (follower.now.outputs, follower.now.cells)
        stuck = [node for node in follower.explored if follower.shown(node) == before] or list(follower.explored)
        last = max(stuck, key=follower.waits_until)
        limit_us = follower.waits_until(last)
        result = follower.result(last)
        written = result.computed & follower.recordable.outputs
        due = (written, tuple(result.memory[cell] for cell in follower.recordable.cells))
        expected = ", ".join(self.differences(due, before)) or "the outputs of the last read"
        is_known = LONG_AGO_US < limit_us < NEVER_US
        time_us = limit_us if is_known else moment.time_us
        return Deviation(
            side=Side.CONTROLLER,
            time_us=time_us,
            line=moment.line,
            subject="controller",
            steps=self.common_steps(follower.held),
            expected=f"{expected} by {format_time(time_us)}" if is_known and time_us >= 0 else expected,
            found=", ".join(self.differences(before, due)) + " still" if self.differences(before, due) else "nothing",
            because=tuple(self._ways(follower, moment, before, due)),
        )

    def _ways(self, follower: ControllerFollower, moment: Moment, one: Shown, other: Shown) -> list[str]:
        """The transitions between the steps before and those that the two show, with what their conditions rest on."""
        now = follower.now
        cells = [item for item in self.channels if item.kind in (ChannelKind.STEP, ChannelKind.CELL)]
        found = []
        for place, item in enumerate(cells):
            if item.kind is not ChannelKind.STEP or one[1][place] == other[1][place]:
                continue
            for target in (one[1][place], other[1][place]):
                found += self._way(item, now.cells[place], target, moment.seen)
        return found

    def _way(self, item: Channel, source: int, target: int, seen: Seen) -> list[str]:
        chart = self.sequence.chart(item.name)
        if source == target:
            return []
        step, goal = chart.steps[source], chart.steps[target].name
        ways = [way for way in chart.transitions_of(step) if way.target == goal]
        if not ways:
            return [f"{chart.name} has no way from {step.name} to {goal}"]
        return [
            f"the way from {step.name} to {goal} needs {to_text(way.condition)}{self._values(way.condition, seen)}"
            for way in ways
        ]

    def _values(self, condition: Expression, seen: Seen) -> str:
        names = self.network.names
        inputs = {item.name for item in self.channels if item.kind is ChannelKind.INPUT}
        found = [name for name in dict.fromkeys(leaf_names(condition)) if name in inputs]
        words = [f"{name} is {'on' if seen.inputs >> names.signals[name] & 1 else 'off'}" for name in found[:MOST_NAMED]]
        return f" ({', '.join(words)})" if words else ""

    # -- the machine -----------------------------------------------------------------------------------------

    def took_wrong(self, follower: MachineFollower, took: Took, moment: Moment, steps: tuple[str, ...]) -> Deviation:
        """A motion was too short, too long, or is overdue."""
        machine = follower.machine
        source, target = machine.places[took.source], machine.places[took.move.target]
        within = f"{format_time(took.move.pending.earliest_us)} to {format_time(took.move.pending.latest_us or 0)}"
        is_overdue = took.keeping is Keeping.OVERDUE
        is_late = is_overdue or took.keeping is Keeping.LONG
        due_us = took.since_us + (took.move.pending.latest_us or 0)
        times = format_time(took.least_us)
        if took.most_us != took.least_us and took.is_whole and not is_overdue:
            times = f"{times} to {format_time(took.most_us)}"
        return Deviation(
            side=Side.MACHINE,
            time_us=due_us if is_late else moment.time_us,
            line=moment.line,
            subject=machine.name,
            steps=steps,
            expected=f"{self._signals(source.signals ^ target.signals, target.signals, follower)} "
            f"({source.label} to {target.label}) after {within}",
            found="not yet" if is_overdue else f"after {times}",
            because=self._failures(follower, took) if took.keeping is not Keeping.SHORT else (),
        )

    def unexplained(
        self, follower: MachineFollower, moment: Moment, steps: tuple[str, ...], before: tuple[frozenset[int], Seen]
    ) -> Deviation:
        """No sound position explains what a device shows."""
        positions, seen = before
        machine = follower.machine
        labels = dict.fromkeys(machine.places[number].label for number in sorted(positions))
        changed = (moment.seen.inputs ^ seen.inputs) & follower.mask
        stays = self._signals(follower.mask, seen.inputs, follower)
        return Deviation(
            side=Side.MACHINE,
            time_us=moment.time_us,
            line=moment.line,
            subject=machine.name,
            steps=steps,
            expected=f"what follows from {', '.join(list(labels)[:MOST_NAMED])} ({stays})",
            found=self._signals(changed, moment.seen.inputs, follower) if changed else "no change",
            because=self._contacts(follower, changed),
        )

    def _signals(self, mask: int, values: int, follower: MachineFollower) -> str:
        shown = mask & follower.mask
        names = [
            f"{name} {'on' if values >> bit & 1 else 'off'}"
            for bit, name in enumerate(self.network.signal_names)
            if shown >> bit & 1
        ]
        return ", ".join(names) or "nothing recorded"

    def _failures(self, follower: MachineFollower, took: Took) -> tuple[str, ...]:
        machine = follower.machine
        instead = machine.instead(took.source, took.move.target, took.move.label)
        names = dict.fromkeys(self.network.failures[part.failure].name for part in instead)
        slow = [
            self.network.failures[part.failure].name
            for part in machine.places[took.source].failures
            if not any(
                move.label == took.move.label and (move.pending.latest_us or 0) <= (took.move.pending.latest_us or 0)
                for move in machine.places[part.target].timed
            )
        ]
        known = list(dict.fromkeys([*names, *slow]))
        return (f"would be explained by {', '.join(known[:MOST_NAMED])}",) if known else ()

    def _contacts(self, follower: MachineFollower, changed: int) -> tuple[str, ...]:
        known = [
            self.network.failures[failure].name
            for bit, pair in follower.machine.contact_failures.items()
            if bit & changed
            for failure in pair
            if failure is not None
        ]
        known += [self.network.failures[part.failure].name for place in follower.machine.places for part in place.failures]
        names = list(dict.fromkeys(known))
        return (f"this device can fail by {', '.join(names[:MOST_NAMED])}",) if names else ()


def leaf_names(condition: Expression) -> list[str]:
    """The names in a condition, those inside timers and edges included."""
    match condition:
        case Name():
            return list(names_of(condition))
        case Not(operand=operand) | TimerCall(operand=operand) | EdgeCall(operand=operand):
            return leaf_names(operand)
        case And(operands=operands) | Or(operands=operands) | Xor(operands=operands):
            return [name for operand in operands for name in leaf_names(operand)]
        case StepTime(step=step):
            return [step]
        case _:
            return []
