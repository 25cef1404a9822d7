"""A recording held against its sequence: both sides followed through, everything measured on the way."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from seqcheck.errors import Place
from seqcheck.kernel.build import build_core
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.language.sequence import Sequence
from seqcheck.plc.channels import Names
from seqcheck.plc.controller_follower import ControllerFollower, TooUncertainError
from seqcheck.plc.controller_start import possible_starts
from seqcheck.plc.csv_recording import open_csv
from seqcheck.plc.declared_range import declared_ranges
from seqcheck.plc.deviation_text import Words
from seqcheck.plc.log_lines import refuse
from seqcheck.plc.machine_follower import Keeping, Took
from seqcheck.plc.machine_side import DeviceStep, MachineSide
from seqcheck.plc.measurements import Measurement
from seqcheck.plc.moment import Moment, Recordable, Seen, moments, recordable
from seqcheck.plc.not_judged import not_judged
from seqcheck.plc.range_fit import measured_ranges
from seqcheck.plc.recorded import Recorded
from seqcheck.plc.recording_map import RecordingMap
from seqcheck.plc.replayed import AlarmChange, Deviation, Draw, Replayed, Stay
from seqcheck.plc.vcd_recording import open_vcd
from seqcheck.plc.web_drawn import DrawnByRanges, DrawnBySpeeds, feeding_of

MOST_DEVIATIONS = 100
MOST_ALARMS = 1_000

Motion = tuple[int, str, int, int]
"""Machine, move, and the ends of its range."""


def replay_recording(sequence: Sequence, log: Path, mapping: RecordingMap) -> Replayed:
    """Hold the recording in `log` (VCD if its name ends so, else CSV) against `sequence`.

    Raises SequenceFileError with the place in the recording (or of a name mapped) if it cannot be read.
    """
    network = build_core(sequence, NetworkOptions(at_read=False, choose=False))
    feeding = feeding_of(sequence)
    speeds = None if feeding is None else DrawnBySpeeds(feeding)
    names = Names(sequence, network, mapping)
    opened = (open_vcd if log.suffix.lower() == ".vcd" else open_csv)(log, names, speeds)
    if speeds is not None:
        speeds.expect(opened.channels)
    return _Replay(sequence, network, opened, mapping.jitter_us or 0, speeds).run()


@dataclass(slots=True)
class _Replay:
    """A replay under way. Mutable; owned by `replay_recording`."""

    sequence: Sequence
    network: Network
    recorded: Recorded
    jitter_us: int
    speeds: DrawnBySpeeds | None
    shows: Recordable = field(default_factory=lambda: Recordable(0, 0, ()))
    deviations: list[Deviation] = field(default_factory=list)
    deviation_count: int = 0
    motions: dict[Motion, Measurement] = field(default_factory=dict)
    stays: dict[tuple[int, int], Measurement] = field(default_factory=dict)
    entered: dict[int, tuple[int, int, int]] = field(default_factory=dict)
    alarms: list[AlarmChange] = field(default_factory=list)
    alarm_count: int = 0
    alarms_on: frozenset[str] | None = None
    moments: int = 0
    first_us: int = 0
    last: Moment | None = None
    uncertain_us: int | None = None
    ranges: DrawnByRanges | None = None

    def run(self) -> Replayed:
        self.shows = recordable(self.recorded.channels)
        controller = ControllerFollower(self.network, self.shows)
        machine = MachineSide(self.sequence, self.network, self.shows)
        words = Words(self.sequence, self.network, self.recorded.channels)
        previous: Moment | None = None
        for moment in moments(self.recorded, self.jitter_us):
            if previous is None:
                self._begin(controller, machine, moment)
            else:
                is_last = moment.seen == previous.seen and not moment.touched
                self._take(controller, machine, moment, words, is_last=is_last)
            self._note(controller, moment)
            previous = moment
            self.moments += 1
        if previous is None:
            refuse(Place(self.recorded.file, 1, 1), "a recording with a value for every column", "none")
        self.last = previous
        return self._result(machine)

    def _begin(self, controller: ControllerFollower, machine: MachineSide, moment: Moment) -> None:
        self.first_us = moment.time_us
        self._restart(controller, moment)
        machine.begin(moment, self._written(controller))
        feeding = feeding_of(self.sequence)
        index = self.network.machine_index
        if feeding is not None and not (self.speeds is not None and self.speeds.is_possible):
            self.ranges = DrawnByRanges(
                feeding, machine.followers[index[feeding.unwind]], machine.followers[index[feeding.line]]
            )
        if not controller.held:
            self._uncertain(moment)

    def _restart(self, controller: ControllerFollower, moment: Moment) -> None:
        controller.begin(possible_starts(self.network, self.shows, moment), moment.seen)

    def _uncertain(self, moment: Moment) -> None:
        if self.uncertain_us is None:
            self.uncertain_us = moment.time_us

    def _written(self, controller: ControllerFollower) -> frozenset[int]:
        return frozenset(part.written for part in controller.held)

    def _take(
        self, controller: ControllerFollower, machine: MachineSide, moment: Moment, words: Words, *, is_last: bool
    ) -> None:
        before = self._written(controller)
        steps = words.common_steps(controller.held)
        self._follow(controller, moment, words)
        after = self._written(controller)
        seen = machine.seen
        for step in machine.take(moment, before | after, after, is_last=is_last):
            self._device(machine, step, moment, words, (steps, seen))
        if self.ranges is not None:
            self.ranges.take(moment)

    def _follow(self, controller: ControllerFollower, moment: Moment, words: Words) -> None:
        if not controller.held:
            self._restart(controller, moment)
            return
        try:
            if controller.take(moment):
                return
            self._deviates(words.controller_left(controller, moment))
        except TooUncertainError:
            self._uncertain(moment)
        self._restart(controller, moment)

    def _deviates(self, deviation: Deviation) -> None:
        self.deviation_count += 1
        self.deviations.append(deviation)
        if len(self.deviations) > 2 * MOST_DEVIATIONS:
            self.deviations = sorted(self.deviations, key=_when)[:MOST_DEVIATIONS]

    def _device(
        self, machine: MachineSide, step: DeviceStep, moment: Moment, words: Words, before: tuple[tuple[str, ...], Seen]
    ) -> None:
        follower = machine.followers[step.machine]
        if not step.is_explained:
            self._deviates(words.unexplained(follower, moment, before[0], (step.before, before[1])))
            return
        for took in step.took:
            if took.keeping is not Keeping.OVERDUE and took.is_whole:
                self._measure(step.machine, took)
            if took.keeping is not Keeping.INSIDE and not self._is_known_overdue(took):
                self._deviates(words.took_wrong(follower, took, moment, before[0]))

    @staticmethod
    def _is_known_overdue(took: Took) -> bool:
        """Too long, but told when it became overdue."""
        return took.keeping is Keeping.LONG and took.was_overdue

    def _measure(self, machine: int, took: Took) -> None:
        pending = took.move.pending
        if took.most_us - took.least_us > (pending.latest_us or 0):  # known too roughly to say anything about the range
            return
        identity = machine, took.move.label, pending.earliest_us, pending.latest_us or 0
        self.motions.setdefault(identity, Measurement()).add(took.least_us, took.most_us)

    # -- what is noted on the way ----------------------------------------------------------------------------

    def _note(self, controller: ControllerFollower, moment: Moment) -> None:
        if not controller.held:
            return
        for chart in self.network.controller.charts:
            steps = {part.memory[chart.number] for part in controller.held}
            if len(steps) == 1:
                self._note_step(chart.number, steps.pop(), moment)
        self._note_alarms(controller, moment)

    def _note_step(self, chart: int, step: int, moment: Moment) -> None:
        known = self.entered.get(chart)
        if known is not None and known[0] == step:
            return
        if known is not None and known[1] >= 0:
            least_us, most_us = moment.earliest_us - known[2], moment.latest_us - known[1]
            self.stays.setdefault((chart, known[0]), Measurement()).add(max(0, least_us), most_us)
        begun = (moment.earliest_us, moment.latest_us) if known is not None else (-1, -1)
        self.entered[chart] = step, *begun

    def _note_alarms(self, controller: ControllerFollower, moment: Moment) -> None:
        every = {self.network.alarms_in(part.memory) for part in controller.held}
        if len(every) != 1:
            return
        now = frozenset(every.pop())
        before = self.alarms_on if self.alarms_on is not None else frozenset[str]()
        for name in sorted(now ^ before):
            self.alarm_count += 1
            if len(self.alarms) < MOST_ALARMS:
                self.alarms.append(AlarmChange(time_us=moment.time_us, name=name, is_raised=name in now))
        self.alarms_on = now

    # -- the result ------------------------------------------------------------------------------------------

    def _result(self, machine: MachineSide) -> Replayed:
        assert self.last is not None, "there was a moment"
        return Replayed(
            file=self.recorded.file,
            from_us=self.first_us,
            until_us=self.last.time_us,
            moments=self.moments,
            is_sampled=self.recorded.is_sampled,
            jitter_us=self.jitter_us,
            deviations=tuple(sorted(self.deviations, key=_when)[:MOST_DEVIATIONS]),
            deviation_count=self.deviation_count,
            measured=measured_ranges(self.network, self.motions, declared_ranges(self.sequence)),
            stays=tuple(self._stays()),
            alarms=tuple(self.alarms),
            alarm_count=self.alarm_count,
            draws=self._draws(),
            not_judged=not_judged(self.sequence, self.network, self.shows, machine, self.uncertain_us),
            unused_columns=self.recorded.unused,
            is_uncertain=self.uncertain_us is not None,
        )

    def _draws(self) -> tuple[Draw, ...]:
        if self.speeds is not None and self.speeds.is_possible:
            return tuple(self.speeds.draws)
        return () if self.ranges is None else tuple(self.ranges.draws)

    def _stays(self) -> list[Stay]:
        found = []
        for chart in self.sequence.charts:
            number = next(part.number for part in self.network.controller.charts if part.name == chart.name)
            for place, step in enumerate(chart.steps):
                measured = self.stays.get((number, place))
                if measured is not None:
                    limit_us = None if step.watchdog is None else step.watchdog.limit_us
                    found.append(
                        Stay(
                            step=f"{chart.name}.{step.name}", count=measured.count, shortest_us=measured.shortest_us,
                            longest_us=measured.longest_us, limit_us=limit_us,
                        )
                    )  # fmt: skip
        return found


def _when(item: Deviation) -> tuple[int, str, str]:
    return item.time_us, item.side.value, item.subject
