"""Recordings as a value change dump.

Of a dump, what is needed here: scopes, variables, the time scale, scalar, vector and real changes. `x` and `z` mean "not known
yet" and may stand only before the first true value.
Source: IEEE 1364-2001 clause 18 (value change dump file); clause number from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from seqcheck.errors import Place
from seqcheck.plc.channel import Channel, ChannelKind
from seqcheck.plc.channels import Names, channels_of
from seqcheck.plc.log_lines import log_lines, refuse
from seqcheck.plc.log_time import LONGEST_US
from seqcheck.plc.recorded import Recorded, Row, SpeedSink

Token = tuple[str, int, int]
"""Text, line, column."""
MOST_VARIABLES = 65_536
_SCALE = re.compile(r"(1|10|100)(s|ms|us|ns|ps|fs)")
_PER_SECOND = {"s": 0, "ms": 3, "us": 6, "ns": 9, "ps": 12, "fs": 15}
_BITS = re.compile(r"[01]+")
_WORD = re.compile(r"\S+")


def open_vcd(path: Path, names: Names, sink: SpeedSink | None) -> Recorded:
    """The recording in `path`. Raises SequenceFileError, also while the rows are walked."""
    tokens = _tokens(path)
    header = _Header(str(path))
    header.read(tokens)
    found, unused = channels_of(names, header.paths, Place(str(path), 1, 1))
    digital = [(place, item) for place, item in found.items() if item.kind is not ChannelKind.SPEED]
    speeds = [(place, item) for place, item in found.items() if item.kind is ChannelKind.SPEED]
    if not digital:
        refuse(Place(str(path), 1, 1), "a variable with the name of an input, output or chart", ", ".join(header.paths[:8]))
    dump = _Dump(file=str(path), header=header, channels=[item for _, item in digital], sink=sink)
    for number, (place, _) in enumerate(digital):
        dump.numbers.setdefault(header.codes[place], []).append(number)
    dump.speed_numbers = {header.codes[place]: number for number, (place, _) in enumerate(speeds)}
    channels = (*(item for _, item in digital), *(item for _, item in speeds))
    return Recorded(file=str(path), channels=channels, unused=unused, is_sampled=False, rows=dump.rows(tokens))


def _tokens(path: Path) -> Iterator[Token]:
    for line, text in log_lines(path):
        for match in _WORD.finditer(text):
            yield match[0], line, match.start() + 1


@dataclass(slots=True)
class _Header:
    """What stands before the changes. Mutable while it is read."""

    file: str
    paths: list[str] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    widths: dict[str, int] = field(default_factory=dict)
    scope: list[str] = field(default_factory=list)
    multiplier: int = 1
    divisor: int = 1

    def read(self, tokens: Iterator[Token]) -> None:
        """Read up to the end of the definitions."""
        line = 1
        for word, line, column in tokens:
            if word == "$enddefinitions":
                self._section(tokens, word, line, column)
                return
            if not word.startswith("$"):
                refuse(Place(self.file, line, column), "a section of a value change dump ($timescale, $var, ...)", repr(word[:40]))
            words = self._section(tokens, word, line, column)
            self._take(word, words, Place(self.file, line, column))
        refuse(Place(self.file, line, 1), "$enddefinitions", "the end of the file")

    def _section(self, tokens: Iterator[Token], name: str, line: int, column: int) -> list[str]:
        words: list[str] = []
        for word, _, _ in tokens:
            if word == "$end":
                return words
            if len(words) < 1000:
                words.append(word)
        return refuse(Place(self.file, line, column), f"$end after {name}", "the end of the file")

    def _take(self, name: str, words: list[str], place: Place) -> None:
        if name == "$scope":
            self.scope.append(words[-1] if words else "")
        elif name == "$upscope" and self.scope:
            self.scope.pop()
        elif name == "$timescale":
            self._scale("".join(words), place)
        elif name == "$var":
            self._variable(words, place)

    def _scale(self, text: str, place: Place) -> None:
        match = _SCALE.fullmatch(text)
        if match is None:
            refuse(place, "a time scale such as '1 us'", repr(text[:40]))
        power = 6 - _PER_SECOND[match[2]]
        self.multiplier = int(match[1]) * 10 ** max(power, 0)
        self.divisor = 10 ** max(-power, 0)

    def _variable(self, words: list[str], place: Place) -> None:
        if len(words) < 4 or not words[1].isascii() or not words[1].isdigit():
            refuse(place, "$var with kind, width, code and name", repr(" ".join(words)[:60]))
        if len(self.paths) >= MOST_VARIABLES:
            refuse(place, f"at most {MOST_VARIABLES} variables", "more")
        self.paths.append(".".join([*self.scope, words[3].removeprefix("\\")]))
        self.codes.append(words[2])
        self.widths[words[2]] = int(words[1])


@dataclass(slots=True, kw_only=True)
class _Dump:
    """Reads the changes. Mutable; owned by the recording."""

    file: str
    header: _Header
    channels: list[Channel]
    sink: SpeedSink | None
    numbers: dict[str, list[int]] = field(default_factory=dict)
    speed_numbers: dict[str, int] = field(default_factory=dict)
    values: list[int | None] = field(default_factory=list)
    speeds: list[float | None] = field(default_factory=list)
    waiting: dict[int, int] = field(default_factory=dict)
    is_speed_new: bool = False

    def rows(self, tokens: Iterator[Token]) -> Iterator[Row]:
        """The rows with their changes; the last has none. Raises SequenceFileError."""
        self.values = [None] * len(self.channels)
        self.speeds = [None] * len(self.speed_numbers)
        before_us = time_us = last = 0
        has_time, line = False, 1
        for word, line, column in tokens:
            first = word[0]
            if first == "#":
                now = self._time(word, Place(self.file, line, column))
                if has_time and now < last:
                    refuse(Place(self.file, line, column), f"a time not before #{last}", word[:40])
                yield from self._row(before_us, time_us, line)
                last, now_us = now, now * self.header.multiplier // self.header.divisor
                before_us, time_us, has_time = time_us if has_time else now_us, now_us, True
            elif first in "01xXzZ":
                self._change(word[1:], first, Place(self.file, line, column))
            elif first in "bBrR":
                code, _, _ = next(tokens, ("", line, column))
                self._vector(word, code, Place(self.file, line, column))
            elif word == "$comment":
                _skip(tokens)
            elif first != "$":
                refuse(Place(self.file, line, column), "a time or a change of a value", repr(word[:40]))
        yield from self._row(before_us, time_us, line)
        missing = [item.column for item, value in zip(self.channels, self.values, strict=True) if value is None]
        if missing:
            refuse(Place(self.file, line, 1), f"a value for {missing[0]!r} somewhere", "none")
        yield Row(before_us, time_us, line, ())

    def _time(self, word: str, place: Place) -> int:
        digits = word[1:]
        if not (digits.isascii() and digits.isdigit() and len(digits) < 30):
            refuse(place, "a time such as #1200", repr(word[:40]))
        time = int(digits)
        if time * self.header.multiplier // self.header.divisor >= LONGEST_US:
            refuse(place, "a time that a recording can have", word[:40])
        return time

    def _row(self, before_us: int, time_us: int, line: int) -> Iterator[Row]:
        if self.is_speed_new and self.sink is not None:
            known = tuple([speed for speed in self.speeds if speed is not None])
            if len(known) == len(self.speeds):
                self.sink.speeds(time_us, known)
            self.is_speed_new = False
        if self.waiting:
            changes = tuple(self.waiting.items())
            self.waiting = {}
            yield Row(before_us, time_us, line, changes)

    def _change(self, code: str, text: str, place: Place) -> None:
        if code not in self.header.widths:
            refuse(place, "the code of a variable", repr(code[:40]))
        for number in self.numbers.get(code, ()):
            self._set(number, text, place)

    def _vector(self, word: str, code: str, place: Place) -> None:
        if code not in self.header.widths:
            refuse(place, "a value and the code of a variable", repr(f"{word} {code}"[:40]))
        if code in self.speed_numbers:
            self._speed(word, code, place)
        for number in self.numbers.get(code, ()):
            self._set(number, word[1:], place)

    def _speed(self, word: str, code: str, place: Place) -> None:
        try:
            self.speeds[self.speed_numbers[code]] = float(word[1:])
        except ValueError:
            refuse(place, "a number after r", repr(word[:40]))
        self.is_speed_new = True

    def _set(self, number: int, text: str, place: Place) -> None:
        channel = self.channels[number]
        if text[:1] in "xXzZ" and self.values[number] is None:
            return
        value = int(text, 2) if _BITS.fullmatch(text) and len(text) <= 64 else None
        if channel.kind is ChannelKind.STEP and value is not None:
            value = channel.values.get(str(value))
        if value is None or (channel.kind is not ChannelKind.STEP and value > 1):
            what = f"the number of a step of {channel.name}" if channel.kind is ChannelKind.STEP else "0 or 1"
            refuse(place, f"{what} for {channel.column}", repr(text[:40]))
        if value != self.values[number]:
            self.values[number] = value
            self.waiting[number] = value


def _skip(tokens: Iterator[Token]) -> None:
    for word, _, _ in tokens:
        if word == "$end":
            return
