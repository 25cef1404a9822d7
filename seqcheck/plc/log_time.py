"""Times of a recording: numbers with a unit, or a clock, as whole microseconds."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime

from seqcheck.plc.recording_map import TimeUnit

TimeOf = Callable[[str], int]
LONGEST_US = 1 << 60
"""No recording lasts so long; a number beyond it is a mistake."""

_UNIT_IN_NAME = re.compile(r"[\[(_ ]\s*(us|µs|ms|s|sec|seconds|milliseconds|microseconds)\s*[\])]?\s*$", re.IGNORECASE)
_UNITS = {
    "us": TimeUnit.MICROSECONDS, "µs": TimeUnit.MICROSECONDS, "microseconds": TimeUnit.MICROSECONDS,
    "ms": TimeUnit.MILLISECONDS, "milliseconds": TimeUnit.MILLISECONDS,
    "s": TimeUnit.SECONDS, "sec": TimeUnit.SECONDS, "seconds": TimeUnit.SECONDS,
}  # fmt: skip


def unit_in_name(column: str) -> TimeUnit | None:
    """The unit that the name of a time column ends with: `time_us`, `Time [ms]`, `t (s)`; None if there is none."""
    match = _UNIT_IN_NAME.search(column)
    return None if match is None else _UNITS[match[1].lower()]


def time_reader(unit: TimeUnit) -> TimeOf:
    """A function from the text of a time to microseconds; it raises ValueError where there is none."""
    if unit is TimeUnit.CLOCK:
        return _clock_us
    if unit is TimeUnit.MICROSECONDS:
        return _whole_us
    return lambda text: _scaled_us(text, unit.microseconds)


def _whole_us(text: str) -> int:
    try:
        value = int(text)
    except ValueError:
        return _scaled_us(text, 1)
    if not abs(value) < LONGEST_US:
        raise ValueError(text)
    return value


def _scaled_us(text: str, factor: int) -> int:
    value = float(text.replace(",", ".")) * factor
    if not abs(value) < LONGEST_US:  # so that nan is refused too
        raise ValueError(text)
    return round(value)


def _clock_us(text: str) -> int:
    moment = datetime.fromisoformat(text.strip())
    since = moment.replace(tzinfo=moment.tzinfo or UTC) - datetime(1970, 1, 1, tzinfo=UTC)
    return (since.days * 86_400 + since.seconds) * 1_000_000 + since.microseconds
