"""A replayed recording as tables."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.cli.block import Block, Cell, Heading, Lines, Table, Tone, cells, lines, one_line
from seqcheck.plc.replayed import Deviation, Fit, Measured, Replayed
from seqcheck.quantities.time import format_time

MOST_SHOWN = 20


def replay_blocks(replayed: Replayed) -> Iterator[Block]:
    """Everything there is to show; the first deviation first."""
    yield from _verdict(replayed)
    yield from _measured(replayed)
    yield from _stays(replayed)
    yield from _alarms(replayed)
    yield from _draws(replayed)
    if replayed.not_judged:
        yield Heading("Not judged")
        yield lines(*map(one_line, replayed.not_judged))


def _verdict(replayed: Replayed) -> Iterator[Block]:
    form = "samples" if replayed.is_sampled else "changes"
    span = f"{_time(replayed.from_us)} to {_time(replayed.until_us)}, {replayed.moments} moments, rows are {form}"
    first = replayed.first
    if first is None:
        yield Heading("The recording keeps to the sequence", Tone.GOOD)
        yield lines(span)
        return
    yield Heading(f"The recording leaves the sequence {replayed.deviation_count} times; first at {_time(first.time_us)}", Tone.BAD)
    yield lines(span)
    for deviation in replayed.deviations[:MOST_SHOWN]:
        yield Lines(tuple(_deviation(replayed, deviation)))


def _deviation(replayed: Replayed, item: Deviation) -> Iterator[Cell]:
    where = f"{replayed.file}:{item.line}:1" if item.line else replayed.file
    yield Cell(one_line(f"{_time(item.time_us)} {item.side.value} ({item.subject}), {where}"), Tone.BAD)
    yield Cell(one_line(f"  in steps {', '.join(item.steps) or 'not known'}"))
    yield Cell(one_line(f"  expected {item.expected}; found {item.found}"))
    for reason in item.because:
        yield Cell(one_line(f"  {reason}"), Tone.NOTE)


def _time(time_us: int) -> str:
    return format_time(time_us)


def _measured(replayed: Replayed) -> Iterator[Block]:
    rows = tuple(_measured_row(part) for part in replayed.measured if part.count)
    if rows:
        yield Heading("Times beside declared ranges")
        yield Table(("what", "declared", "times", "shortest", "mean", "longest", "range"), rows)
    missing = [part.subject for part in replayed.measured if part.fit is Fit.NONE]
    if missing:
        yield lines(one_line(f"Not seen, so not measured: {', '.join(missing)}"))


def _measured_row(part: Measured) -> tuple[Cell, ...]:
    tone = {Fit.TOO_NARROW: Tone.BAD, Fit.TOO_WIDE: Tone.DOUBT}.get(part.fit, Tone.PLAIN)
    declared = f"{_time(part.within.earliest_us)}..{_time(part.within.latest_us or 0)}"
    ends = _time(part.shortest_us), _time(round(part.mean_us)), _time(part.longest_us)
    return (*cells(part.subject, declared, str(part.count), *ends), Cell(part.fit.value, tone))


def _stays(replayed: Replayed) -> Iterator[Block]:
    if replayed.stays:
        yield Heading("Stays in steps")
        rows = [
            cells(
                part.step, str(part.count), _time(part.shortest_us), _time(part.longest_us),
                "" if part.limit_us is None else _time(part.limit_us),
            )
            for part in replayed.stays
        ]  # fmt: skip
        yield Table(("step", "times", "shortest", "longest", "watchdog"), tuple(rows))


def _alarms(replayed: Replayed) -> Iterator[Block]:
    if replayed.alarms:
        yield Heading(f"Alarms ({replayed.alarm_count} changes)")
        shown = replayed.alarms[:MOST_SHOWN]
        yield Table(
            ("time", "alarm", ""),
            tuple(cells(_time(part.time_us), part.name, "raised" if part.is_raised else "cleared") for part in shown),
        )


def _draws(replayed: Replayed) -> Iterator[Block]:
    if replayed.draws:
        yield Heading("Web drawn from the accumulator")
        yield Table(
            ("from", "until", "least", "most", "by"),
            tuple(
                cells(
                    _time(part.from_us), _time(part.until_us), f"{part.least_m:.3f} m", f"{part.most_m:.3f} m",
                    "recorded speeds" if part.by_speeds else "moments of the ramps",
                )
                for part in replayed.draws[:MOST_SHOWN]
            ),
        )  # fmt: skip
