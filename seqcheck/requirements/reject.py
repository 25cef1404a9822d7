"""Reject: the gate is open before spoilt web can be at it and closes only after, counted by an encoder.

The picture: when a step is entered the splice lies under its head, the unwind stands, and the controller sets a count to zero. From
then on the splice is tracked by counts while the accumulator's content changes; see web/splice_position.py for the two relations.

 - An encoder in the line needs the content at the zero of the count. It follows from the level at which the stop began and from
   the time between: content = level - v/2 ((t - t0) + (t - t1)), with the unwind leaving line speed at t0 and standing at t1. Both
   times are measured over all runs in which the line keeps its speed; the longest of each need not be of one run: exact where
   a replayed run has both, else a bound.
   What overspeed still fills above the level, until the stop begins and in its ramp, is counted on the far side, never above full.
 - An encoder at the unwind needs the content when the splice arrives: anything between reserve and full, which the accumulator
   requirements must show.

Counted too: web that passes before the count is at zero (the latest write), and the spoilt web ahead of and behind the splice.
The gate's time from command to open, at line speed, must lie before the earliest count.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import Holds, Monitor, PrecedenceMonitor, StopwatchMonitor
from seqcheck.language.expression import And
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.requirements.accumulator import AccumulatorSetting, accumulator_setting
from seqcheck.requirements.moment import name_at, negated, steps_named
from seqcheck.requirements.requirement import Figure, RequirementKind, Spread
from seqcheck.web.splice_position import (
    CountWindow,
    Encoder,
    LengthOfTime,
    LengthRange,
    SplicePath,
    Way,
    content_while_standing_m,
    latest_gate_command_count,
    reject_window,
)

MM_PER_M = 1000.0
LEAST, MOST = "stored web when the count begins, least", "stored web when the count begins, most"
OPENS, CLOSES = "count at which the gate is told to open", "count at which the gate is told to close"
FILLED, RUNNING = "filled", "running"
_LONGEST_US = 600 * MICROSECONDS_PER_SECOND
"""Longest time that is measured from stop to count: beyond ten minutes no web is stored that could matter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RejectSetting:
    """The numbers of one requirement. Lengths in metres."""

    way: Way
    length_per_count: LengthRange
    ahead_m: float
    behind_m: float
    gate_s: float
    start_late_m: float
    speed_m_per_s: float
    store: LengthRange
    """What the accumulator can hold: from reserve to full."""
    level_m: float
    """The level at which the stop begins."""

    def window(self, content: LengthRange) -> CountWindow:
        """Counts between which spoilt web may be at the gate, for a content as its encoder needs it."""
        before, after = self.way.before, self.way.after
        path = SplicePath(
            fixed=LengthRange(before.least_m + after.least_m, before.most_m + after.most_m),
            content=content,
            ahead_m=self.ahead_m,
            behind_m=self.behind_m,
            start_late_m=self.start_late_m,
        )
        return reject_window(path, self.length_per_count)

    def latest_command(self, window: CountWindow) -> int:
        """The last count at which the gate may be told to open."""
        return latest_gate_command_count(
            window, speed_m_per_s=self.speed_m_per_s, gate_time_s=self.gate_s, length_per_count=self.length_per_count
        )


def reject_setting(requirement: Requirement, sequence: Sequence) -> RejectSetting:
    """The numbers of a requirement.

    Raises SequenceFileError if the file lacks the accumulator and its sections, or the counts per length may be none.
    """
    setting = accumulator_setting(requirement, sequence)
    counts = _range(requirement, "counts")
    if counts[0] == 0:
        raise SequenceFileError([Problem(place=requirement.place, expected="'counts' above zero", found="0")])
    level = setting.accumulator.running_ratio if _level(requirement) == RUNNING else setting.accumulator.filled_ratio
    encoder = Encoder(requirement.value("encoder", str) or Encoder.LINE.value)
    # While the unwind stands nothing passes an encoder at it.
    late_us = (sequence.scan.write.latest_us or 0) if encoder is Encoder.LINE else 0
    return RejectSetting(
        way=Way(
            before=_metres(requirement, "path before"),
            after=_metres(requirement, "path after"),
            encoder=encoder,
        ),
        length_per_count=LengthRange(1 / counts[1], 1 / counts[0]),
        ahead_m=(requirement.value("spoilt ahead", float) or 0.0) / MM_PER_M,
        behind_m=(requirement.value("spoilt behind", float) or 0.0) / MM_PER_M,
        gate_s=(requirement.value("gate", int) or 0) / MICROSECONDS_PER_SECOND,
        start_late_m=setting.line.speed_m_per_s * late_us / MICROSECONDS_PER_SECOND,
        speed_m_per_s=setting.line.speed_m_per_s,
        store=LengthRange(setting.content_m(setting.accumulator.reserve_ratio), setting.content_m(1.0)),
        level_m=setting.content_m(level),
    )


def _level(requirement: Requirement) -> str:
    return requirement.value("level", str) or FILLED


def _range(requirement: Requirement, field: str) -> tuple[float, float]:
    value = requirement.value(field, tuple)
    assert value is not None, "the reader asks for it"
    return value[0], value[1]


def _metres(requirement: Requirement, field: str) -> LengthRange:
    least_mm, most_mm = _range(requirement, field)
    return LengthRange(least_mm / MM_PER_M, most_mm / MM_PER_M)


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    """From leaving line speed, and from standstill, to the zero of the count; where filled is claimed, that it was."""
    reject_setting(requirement, sequence)
    setting = accumulator_setting(requirement, sequence)
    unwind, line = (str(setting.device.value(name, str)) for name in ("unwind", "line"))
    zero = steps_named(requirement, sequence, "reject from")
    at_speed, stopped, line_at_speed = (
        name_at(requirement, fact) for fact in (f"{unwind}.is_at_speed", f"{unwind}.is_stopped", f"{line}.is_at_speed")
    )
    cancel = (Holds(negated(line_at_speed)), Holds(at_speed))
    stopwatches = tuple(
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Holds(start),),
            end=zero,
            cancel=cancel,
            at_most_us=None,
            length_us=_LONGEST_US,
        )
        for start in (negated(at_speed), stopped)
    )
    if _level(requirement) == RUNNING:
        return stopwatches
    fill, full = str(setting.device.value("fill", str)), f"{setting.device.name}.is_filled"
    filled_first = PrecedenceMonitor(
        requirement=requirement.id,
        first=(Holds(name_at(requirement, full)),),
        second=zero,
        since=(Holds(name_at(requirement, fill)),),
    )
    filled, asked = name_at(requirement, full), name_at(requirement, fill)
    overspeed = StopwatchMonitor(
        requirement=requirement.id,
        start=(Holds(And(requirement.place, (filled, asked, at_speed))),),
        end=(Holds(negated(at_speed)),),
        cancel=(Holds(negated(line_at_speed)),),
        at_most_us=None,
        length_us=_LONGEST_US,
    )
    return (*stopwatches, filled_first, overspeed)


def _measured(
    requirement: Requirement, sequence: Sequence, spreads: tuple[Spread | None, ...]
) -> tuple[Figure, ...]:
    """The content at the zero of the count, and the counts of the gate against the window."""
    setting, store = reject_setting(requirement, sequence), accumulator_setting(requirement, sequence)
    stop, stand = spreads[0], spreads[1]
    overspeed = None if _level(requirement) == RUNNING else spreads[-1]
    if stop is None or stand is None:
        return ()
    at_zero = content_while_standing_m(
        content_at_stop=LengthRange(setting.level_m, _most_at_stop_m(setting, store, overspeed)),
        line_speed_m_per_s=setting.speed_m_per_s,
        since_stop_s=_seconds(stop),
        since_standstill_s=_seconds(stand),
    )
    window = setting.window(at_zero if setting.way.encoder is Encoder.LINE else setting.store)
    opens, closes = requirement.value("opens at", float), requirement.value("closes at", float)
    assert opens is not None and closes is not None, "the reader asks for both"
    least, most = ((0, True), (1, True)), _most_together(setting, store)
    by_line = setting.way.encoder is Encoder.LINE
    first, last = (least, most) if by_line else ((), ())
    return (
        Figure(quantity=OPENS, unit="counts", worst=opens, limit=setting.latest_command(window), together=first),
        Figure(quantity=CLOSES, unit="counts", worst=closes, limit=window.latest, is_least=True, together=last),
        Figure(quantity=LEAST, unit="m", worst=at_zero.least_m, limit=None, together=least),
        Figure(quantity=MOST, unit="m", worst=at_zero.most_m, limit=None, together=most),
    )


def _most_together(setting: RejectSetting, store: AccumulatorSetting) -> tuple[tuple[int, bool], ...]:
    """What the most content is added up from; none where overspeed may have filled above the level, which is a bound."""
    return () if store.unwind.overspeed_ratio * setting.speed_m_per_s else ((0, False), (1, False))


def _most_at_stop_m(setting: RejectSetting, store: AccumulatorSetting, overspeed: Spread | None) -> float:
    """The most that counts as stored at the stop: the level, what overspeed fills above it, and what its ramp brings more.

    From the running level, or where no run has been measured, anything up to full.
    """
    excess_m_per_s = store.unwind.overspeed_ratio * setting.speed_m_per_s
    if excess_m_per_s == 0:
        return setting.level_m
    if overspeed is None:
        return setting.store.most_m
    ramp_us = (store.unwind.stop.latest_us or 0) / 2
    above_m = excess_m_per_s * (overspeed.longest_us + ramp_us) / MICROSECONDS_PER_SECOND
    return min(setting.store.most_m, setting.level_m + above_m)


def _seconds(spread: Spread) -> LengthOfTime:
    return LengthOfTime(spread.shortest_us / MICROSECONDS_PER_SECOND, spread.longest_us / MICROSECONDS_PER_SECOND)


REJECT = RequirementKind(
    name="reject",
    meaning="the reject gate is open before spoilt web can be at it, and closes only after",
    fields=(
        Field(
            name="reject from",
            kind=FieldKind.NAME,
            meaning="the step at whose entry the count is set to zero, the splice under its head and the unwind standing",
            required=True,
        ),
        Field(name="path before", kind=FieldKind.LENGTH_RANGE, meaning="from splice head to accumulator", required=True),
        Field(name="path after", kind=FieldKind.LENGTH_RANGE, meaning="from accumulator to gate", required=True),
        Field(name="counts", kind=FieldKind.COUNTS_PER_LENGTH, meaning="counts of the encoder per length of web", required=True),
        Field(
            name="encoder",
            kind=FieldKind.WORD,
            choices=(Encoder.LINE.value, Encoder.UNWIND.value),
            meaning="where it is; in the line if not given",
        ),
        Field(
            name="level",
            kind=FieldKind.WORD,
            choices=(FILLED, RUNNING),
            meaning="level at which the stop for the splice begins; filled if not given",
        ),
        Field(name="spoilt ahead", kind=FieldKind.LENGTH, meaning="spoilt web before the splice; none if not given"),
        Field(name="spoilt behind", kind=FieldKind.LENGTH, meaning="spoilt web after the splice; none if not given"),
        Field(name="gate", kind=FieldKind.TIME, meaning="longest time from command to open; at once if not given"),
        Field(name="opens at", kind=FieldKind.COUNTS, meaning="count at which the gate is told to open", required=True),
        Field(name="closes at", kind=FieldKind.COUNTS, meaning="count at which it is told to close", required=True),
    ),
    monitors=_monitors,
    measured=_measured,
    rests_on_figures=True,
    needs_given=True,
    on_machine=True,
)
