"""Time as the program counts it: whole microseconds, and ranges of them.

A person writes `250 ms`, `120..250 ms` or the literal `T#2h_30m` of IEC 61131-3. Whole numbers keep the
search exact: two limits either meet or they do not, whatever the order of additions.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

MICROSECONDS_PER_SECOND = 1_000_000

LONGEST_TEXT = 100
"""Characters of a time or a range; longer text is no time, and big digits cost time to convert."""

LONGEST_TIME_US = 366 * 24 * 3_600_000_000
"""Microseconds in a leap year. No wait of a machine is longer, and sums of many stay within 64 bits."""

_NANOSECONDS = {
    "ns": 1,
    "us": 1_000,
    "ms": 1_000_000,
    "s": 1_000_000_000,
    "min": 60_000_000_000,
    "h": 3_600_000_000_000,
    "d": 86_400_000_000_000,
}
_LITERAL_UNITS = ("d", "h", "m", "s", "ms", "us", "ns")  # in the falling order that the standard asks for
_LITERAL_MOST = {"h": 24, "m": 60, "s": 60, "ms": 1000, "us": 1000, "ns": 1000}

_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_TIME = re.compile(rf"({_NUMBER}) *([A-Za-zµμ]+)")
_RANGE = re.compile(rf"({_NUMBER}) *([A-Za-zµμ]*) *\.\. *({_NUMBER}) *([A-Za-zµμ]+)")
_LITERAL = re.compile(r"(?:T|TIME)#(-?)(.+)", re.IGNORECASE | re.ASCII | re.DOTALL)
_LITERAL_PART = re.compile(
    r"([0-9]+(?:_[0-9]+)*(?:\.[0-9]+)?)(ms|us|ns|[dhms])(?:_(?=[0-9]))?", re.IGNORECASE | re.ASCII
)


@dataclass(frozen=True, slots=True)
class TimeRange:
    """Something happens no earlier than `earliest_us` and no later than `latest_us`, both ends included.

    Microseconds, zero or more. `latest_us` None: it may happen at any later time or never; nothing forces it.

    Raises ValueError if an end is negative or the ends are in the wrong order.
    """

    earliest_us: int
    latest_us: int | None

    def __post_init__(self) -> None:
        """Refuse ends that no clock could show."""
        if self.earliest_us < 0:
            raise ValueError(f"expected an earliest time of zero or more, found {self.earliest_us} us")
        if self.latest_us is not None and self.latest_us < self.earliest_us:
            raise ValueError(
                "expected a range from the shorter to the longer time, "
                f"found {format_time(self.earliest_us)} before {format_time(self.latest_us)}"
            )


def parse_time(text: str) -> int:
    """Return the microseconds of a text such as `250 ms`, `1.5 s`, `2 min`, `40 us`, `1 h`.

    Raises ValueError if the text is no time, is not a whole number of microseconds, or exceeds a year.
    """
    match = _TIME.fullmatch(_bounded(text).strip(" "))
    if match is None:
        raise ValueError(f"expected a time such as '250 ms', found {text!r}")
    return _microseconds(match[1], match[2], text)


def parse_time_range(text: str) -> TimeRange:
    """Return the range of a text such as `120..250 ms` or `100 ms..2 s`; one time stands for both ends.

    Raises ValueError as `parse_time` does, and if the longer time stands first.
    """
    if ".." not in _bounded(text):
        only_us = parse_time(text)
        return TimeRange(only_us, only_us)
    match = _RANGE.fullmatch(text.strip(" "))
    if match is None:
        raise ValueError(f"expected a range of times such as '120..250 ms', found {text!r}")
    earliest, earliest_unit, latest, latest_unit = match.groups()
    earliest_us = _microseconds(earliest, earliest_unit or latest_unit, text)
    return TimeRange(earliest_us, _microseconds(latest, latest_unit, text))


def parse_time_literal(text: str) -> int:
    """Return the microseconds of an IEC 61131-3 TIME literal such as `T#2h_30m`; negative after `T#-`.

    The units d, h, m, s, ms, us, ns stand in falling order, each at most once. Only the largest may exceed
    what the next larger one holds (`T#90s`, but not `T#1m90s`); only the last may have a decimal fraction.

    Raises ValueError if the text breaks these rules, is no whole number of microseconds, or exceeds a year.

    Source: IEC 61131-3, duration literals; overflow and fraction rules and digit underscores from memory.
    """
    match = _LITERAL.fullmatch(_bounded(text))
    if match is None:
        raise ValueError(f"expected a TIME literal such as 'T#250ms', found {text!r}")
    parts = _literal_parts(match[2], text)
    _check_literal_order(parts, text)
    nanoseconds = sum((Fraction(number) * _literal_unit(unit) for number, unit in parts), Fraction(0))
    magnitude_us = _whole_microseconds(nanoseconds, text)
    return -magnitude_us if match[1] else magnitude_us


def format_time(us: int) -> str:
    """Return microseconds as a person writes them, exactly: `40 us`, `250 ms`, `1.52 s`, `2 min 5 s`."""
    if us < 0:
        return f"-{format_time(-us)}"
    if us == 0:
        return "0 ms"
    if us < 1_000:
        return f"{us} us"
    if us < 1_000_000:
        return f"{_decimal(us, 1_000)} ms"
    return _format_long_time(us)


def format_time_literal(us: int) -> str:
    """Return the shortest TIME literal with one whole number: `T#250ms`, `T#90s`, `T#2h`.

    Source: IEC 61131-3, duration literals; `parse_time_literal` reads it back.
    """
    if us == 0:
        return "T#0s"
    unit = next(unit for unit in _LITERAL_UNITS if us * 1_000 % _literal_unit(unit) == 0)
    return f"T#{us * 1_000 // _literal_unit(unit)}{unit}"


def _format_long_time(us: int) -> str:
    minutes, seconds_us = divmod(us, 60_000_000)
    hours, minutes = divmod(minutes, 60)
    parts = [f"{hours} h"] if hours else []
    parts += [f"{minutes} min"] if minutes else []
    parts += [f"{_decimal(seconds_us, 1_000_000)} s"] if seconds_us else []
    return " ".join(parts)


def _decimal(amount: int, scale: int) -> str:
    """Return amount / scale (a power of ten) without trailing zeros."""
    whole, rest = divmod(amount, scale)
    fraction = str(rest).rjust(len(str(scale)) - 1, "0").rstrip("0")
    return f"{whole}.{fraction}" if fraction else str(whole)


def _bounded(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise ValueError(f"expected a time of at most {LONGEST_TEXT} characters, found {len(text)}")
    return text


def _microseconds(number: str, unit: str, text: str) -> int:
    nanoseconds = _NANOSECONDS.get(unit.replace("µ", "u").replace("μ", "u"))
    if nanoseconds is None:
        raise ValueError(f"expected a time in us, ms, s, min, h or d, found the unit {unit!r} in {text!r}")
    return _whole_microseconds(Fraction(number) * nanoseconds, text)


def _whole_microseconds(nanoseconds: Fraction, text: str) -> int:
    us = nanoseconds / 1_000
    if us.denominator != 1:
        raise ValueError(f"expected a whole number of microseconds, found {text!r}")
    if us > LONGEST_TIME_US:
        raise ValueError(f"expected a time of at most 366 d, found {text!r}")
    return us.numerator


def _literal_unit(unit: str) -> int:
    return _NANOSECONDS["min" if unit == "m" else unit]


def _literal_parts(body: str, text: str) -> list[tuple[str, str]]:
    """Split `2h_30m` into its numbers and lower-case units."""
    parts = []
    start = 0
    while start < len(body):
        match = _LITERAL_PART.match(body, start)
        if match is None:
            raise ValueError(f"expected number and unit (d, h, m, s, ms, us, ns) in turn, found {text!r}")
        parts.append((match[1].replace("_", ""), match[2].lower()))
        start = match.end()
    return parts


def _check_literal_order(parts: list[tuple[str, str]], text: str) -> None:
    ranks = [_LITERAL_UNITS.index(unit) for _, unit in parts]
    if ranks != sorted(set(ranks)):
        raise ValueError(f"expected d, h, m, s, ms, us, ns in this order, each once, found {text!r}")
    if any("." in number for number, _ in parts[:-1]):
        raise ValueError(f"expected a decimal fraction in the last part only, found {text!r}")
    for number, unit in parts[1:]:
        if Fraction(number) >= _LITERAL_MOST[unit]:
            raise ValueError(
                f"expected less than {_LITERAL_MOST[unit]} {unit} after a larger unit, found {text!r}"
            )
