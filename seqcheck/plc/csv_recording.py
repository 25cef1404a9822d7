"""Recordings as CSV: a column for the time and one for each signal, or the table of events that `simulate --csv` writes.

A blank field says that nothing has changed. The separator is a comma, a semicolon or a tab, whichever the header has most of.
Source: RFC 4180, but a field may not hold a line break.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from statistics import median
from typing import NoReturn

from seqcheck.errors import Place, nearest_name
from seqcheck.plc.channel import Change, Channel, ChannelKind
from seqcheck.plc.channels import TRUTH, Names, channels_of
from seqcheck.plc.log_lines import log_lines, refuse
from seqcheck.plc.log_time import TimeOf, time_reader, unit_in_name
from seqcheck.plc.recorded import Recorded, Row, SpeedSink
from seqcheck.plc.recording_map import RecordingForm, TimeUnit
from seqcheck.simulate.recording import COLUMNS

MOST_COLUMNS = 4096
LOOKED_AT = 200
"""Rows from which it is found out whether rows are samples."""
_TIME_NAMES = ("time", "t", "timestamp", "time_us", "time_ms", "time_s")
Lines = Iterator[tuple[int, str]]


def open_csv(path: Path, names: Names, sink: SpeedSink | None) -> Recorded:
    """The recording in `path`.

    Raises SequenceFileError, also while the rows are walked: each problem has its line and column.
    """
    lines = log_lines(path)
    number, header = next(lines, (1, ""))
    if not header.strip():
        refuse(Place(str(path), 1, 1), "a header with the names of columns", "an empty file" if number == 1 else "nothing")
    delimiter = max(",;\t", key=header.count)
    columns = [column.strip() for column in _fields(header, delimiter, Place(str(path), 1, 1))]
    if len(columns) > MOST_COLUMNS:
        refuse(Place(str(path), 1, 1), f"at most {MOST_COLUMNS} columns", str(len(columns)))
    if tuple(columns[: len(COLUMNS)]) == COLUMNS:
        return _EventTable(str(path), names, columns, sink).recorded(lines)
    return _wide(str(path), names, columns, delimiter, lines, sink)


def _fields(line: str, delimiter: str, place: Place) -> list[str]:
    if '"' not in line:
        return line.split(delimiter)
    try:
        return next(csv.reader([line], delimiter=delimiter, strict=True))
    except csv.Error as error:
        refuse(place, "fields with their quotes closed on the same line", str(error))


def _wide(
    file: str, names: Names, columns: list[str], delimiter: str, lines: Lines, sink: SpeedSink | None
) -> Recorded:
    header = Place(file, 1, 1)
    time_column = _time_column(columns, names, header)
    found, unused = channels_of(names, columns, header)
    found.pop(time_column, None)
    unused = tuple(column for column in unused if column != columns[time_column])
    if not any(channel.kind is not ChannelKind.SPEED for channel in found.values()):
        expected = "a column with the name of an input, output, alarm or chart (or a mapping of names)"
        refuse(header, expected, ", ".join(columns[:8]))
    first, lines = _held_back(lines, LOOKED_AT)
    unit = _unit(columns[time_column], names, first, delimiter, time_column)
    table = _WideTable(
        file=file, delimiter=delimiter, width=len(columns), time_column=time_column, time_of=time_reader(unit),
        unit=unit, digital=[(place, item) for place, item in found.items() if item.kind is not ChannelKind.SPEED],
        speeds=[place for place, item in found.items() if item.kind is ChannelKind.SPEED], sink=sink,
    )  # fmt: skip
    is_sampled = names.mapping.form is RecordingForm.SAMPLED
    if names.mapping.form is RecordingForm.AUTO:
        is_sampled = table.looks_sampled(first)
    ordered = [item for item in found.values() if item.kind is not ChannelKind.SPEED]
    spoken = [item for item in found.values() if item.kind is ChannelKind.SPEED]
    return Recorded(
        file=file, channels=(*ordered, *spoken), unused=unused, is_sampled=is_sampled, rows=table.rows(lines)
    )


def _time_column(columns: list[str], names: Names, header: Place) -> int:
    wanted = names.mapping.time_column
    if wanted is not None:
        if wanted not in columns:
            refuse(header, f"a column {wanted!r} with the time", ", ".join(columns[:8]), nearest_name(wanted, columns))
        return columns.index(wanted)
    for place, column in enumerate(columns):
        word = column.lower()
        if word in _TIME_NAMES or (word.split("[")[0].split("(")[0].strip() in _TIME_NAMES):
            return place
    return refuse(header, "a column 'time' (or the name of one, by --time)", ", ".join(columns[:8]))


def _unit(column: str, names: Names, first: list[tuple[int, str]], delimiter: str, place: int) -> TimeUnit:
    if names.mapping.unit is not None:
        return names.mapping.unit
    named = unit_in_name(column)
    if named is not None:
        return named
    for _, line in first:
        fields = line.split(delimiter)
        if len(fields) > place and (":" in fields[place] or fields[place].count("-") == 2):
            return TimeUnit.CLOCK
    return TimeUnit.SECONDS


def _held_back(lines: Lines, count: int) -> tuple[list[tuple[int, str]], Lines]:
    """The first lines, and all of them again."""
    first = [line for _, line in zip(range(count), lines, strict=False)]

    def again() -> Lines:
        yield from first
        yield from lines

    return first, again()


@dataclass(slots=True, kw_only=True)
class _WideTable:
    """Reads rows; remembers the last one. Mutable; owned by the recording."""

    file: str
    delimiter: str
    width: int
    time_column: int
    time_of: TimeOf
    unit: TimeUnit
    digital: list[tuple[int, Channel]]
    speeds: list[int]
    sink: SpeedSink | None
    values: list[int | None] = field(default_factory=list)

    def looks_sampled(self, first: list[tuple[int, str]]) -> bool:
        """Whether rows come evenly and mostly change nothing."""
        times, same, last = [], 0, ""
        for _, line in first:
            time, _, rest = line.partition(self.delimiter)
            try:
                times.append(self.time_of(time if self.time_column == 0 else line.split(self.delimiter)[self.time_column]))
            except (ValueError, IndexError):
                return False
            same += rest == last
            last = rest
        steps = [second - before for before, second in pairwise(times)]
        if len(steps) < 3:
            return False
        usual = median(steps)
        even = sum(abs(step - usual) <= 0.2 * usual for step in steps)
        return usual > 0 and even >= 0.9 * len(steps) and (bool(self.speeds) or 2 * same >= len(steps))

    def rows(self, lines: Lines) -> Iterator[Row]:
        """The rows with their changes; those that change nothing are left out, but for the last.

        Raises SequenceFileError.
        """
        self.values = [None] * len(self.digital)
        before_us: int | None = None
        shown = last = None
        time_us = line = 0
        is_first = self.time_column == 0
        delimiter, time_of = self.delimiter, self.time_of
        for line, text in lines:
            if is_first:
                time_text, _, rest = text.partition(delimiter)
                if rest == last and last is not None and '"' not in time_text:
                    try:
                        now_us = time_of(time_text)
                    except ValueError:
                        self._bad_time(time_text, line, 1)
                    if now_us < time_us:
                        self._backwards(now_us, time_us, line)
                    before_us, time_us = time_us, now_us
                    continue
            else:
                rest = text
            if not text.strip():
                continue
            fields = _fields(text, delimiter, Place(self.file, line, 1))
            now_us = self._time(fields, line)
            if before_us is not None and now_us < time_us:
                self._backwards(now_us, time_us, line)
            before_us, time_us = (now_us if before_us is None else time_us), now_us
            last = rest
            if self.speeds and self.sink is not None:
                self.sink.speeds(time_us, self._speeds(fields, line))
            digital = [fields[place] for place, _ in self.digital]
            if digital != shown:
                shown = digital
                changes = self._changes(digital, fields, line)
                if changes:
                    yield Row(before_us, time_us, line, changes)
        if before_us is None:
            refuse(Place(self.file, max(line, 2), 1), "rows after the header", "none")
        if missing := [item.column for value, (_, item) in zip(self.values, self.digital, strict=True) if value is None]:
            refuse(Place(self.file, line, 1), f"a value for {missing[0]!r} somewhere", "blank fields only")
        yield Row(before_us, time_us, line, ())

    def _time(self, fields: list[str], line: int) -> int:
        if len(fields) != self.width:
            refuse(Place(self.file, line, 1), f"{self.width} fields as in the header", str(len(fields)))
        try:
            return self.time_of(fields[self.time_column])
        except ValueError:
            self._bad_time(fields[self.time_column], line, self._column(fields, self.time_column))

    def _bad_time(self, text: str, line: int, column: int) -> NoReturn:
        unit = "as ISO 8601" if self.unit is TimeUnit.CLOCK else f"in {self.unit.value}"
        refuse(Place(self.file, line, column), f"a time {unit}", repr(text[:40]))

    def _backwards(self, now_us: int, time_us: int, line: int) -> NoReturn:
        refuse(Place(self.file, line, 1), f"a time not before {time_us} us, the row above", f"{now_us} us")

    @staticmethod
    def _column(fields: list[str], place: int) -> int:
        return sum(len(field) + 1 for field in fields[:place]) + 1

    def _changes(self, digital: list[str], fields: list[str], line: int) -> tuple[Change, ...]:
        found: list[Change] = []
        for number, (text, (place, channel)) in enumerate(zip(digital, self.digital, strict=True)):
            if not text or text.isspace():
                continue
            value = value_of(channel, text)
            if value is None:
                refuse(Place(self.file, line, self._column(fields, place)), expected_in(channel), repr(text[:40]))
            if value != self.values[number]:
                self.values[number] = value
                found.append((number, value))
        return tuple(found)

    def _speeds(self, fields: list[str], line: int) -> tuple[float, ...]:
        try:
            return tuple([float(fields[place]) for place in self.speeds])
        except ValueError:
            for place in self.speeds:
                self._check_speed(fields, place, line)
            raise

    def _check_speed(self, fields: list[str], place: int, line: int) -> None:
        try:
            float(fields[place])
        except ValueError:
            column = self._column(fields, place)
            refuse(Place(self.file, line, column), "a speed in m/s", repr(fields[place][:40]))


def value_of(channel: Channel, text: str) -> int | None:
    """The value that `text` stands for in the channel's column; None if it stands for none."""
    word = text.strip().lower()
    return channel.values.get(word) if channel.kind is ChannelKind.STEP else TRUTH.get(word)


def expected_in(channel: Channel) -> str:
    """What may stand in the channel's column, for the `expected` of a problem."""
    if channel.kind is not ChannelKind.STEP:
        return f"0 or 1 in column {channel.column!r}"
    steps = [word for word in channel.values if not word[:1].isdigit() and "." not in word]
    return f"a step of {channel.name} in column {channel.column!r} ({', '.join(steps[:6])}, ...)"


@dataclass(slots=True)
class _EventTable:
    """Reads the table that `simulate --csv` writes: names that came on and went off."""

    file: str
    names: Names
    columns: list[str]
    sink: SpeedSink | None
    channels: list[Channel] = field(default_factory=list)
    numbers: dict[str, int] = field(default_factory=dict)

    def recorded(self, lines: Lines) -> Recorded:
        """The recording: all inputs, outputs, alarms and steps."""
        shown = [name for name in self.names.every() if not self._is_flag(name)]
        self.channels = [self.names.channel(name, name) for name in shown]
        self.numbers = {name: number for number, name in enumerate(shown)}
        found, unused = channels_of(self.names, self.columns[len(COLUMNS) :], Place(self.file, 1, 1))
        curves = {place + len(COLUMNS): item for place, item in found.items() if item.kind is ChannelKind.SPEED}
        return Recorded(
            file=self.file, channels=(*self.channels, *curves.values()), unused=unused, is_sampled=False,
            rows=self._rows(lines, tuple(curves)),
        )  # fmt: skip

    def _is_flag(self, name: str) -> bool:
        return any(flag.name == name for flag in self.names.sequence.flags)

    def _rows(self, lines: Lines, speeds: tuple[int, ...]) -> Iterator[Row]:
        before_us, time_us, line = 0, -1, 1
        is_first = True
        for line, text in lines:
            if not text.strip():
                continue
            fields = _fields(text, ",", Place(self.file, line, 1))
            if len(fields) != len(self.columns):
                refuse(Place(self.file, line, 1), f"{len(self.columns)} fields as in the header", str(len(fields)))
            now_us = self._number(int, fields[0], line, "a time in us")
            if not is_first and now_us < time_us:
                refuse(Place(self.file, line, 1), f"a time not before {time_us} us, the row above", f"{now_us} us")
            before_us, time_us = now_us if is_first else time_us, now_us
            if speeds and self.sink is not None:
                self.sink.speeds(time_us, tuple(self._number(float, fields[place], line, "a speed") for place in speeds))
            changes = self._changes(fields, line)
            if is_first:
                on = dict(changes)
                changes = tuple((number, on.get(number, 0)) for number in range(len(self.channels)))
            is_first = False
            if changes:
                yield Row(before_us, time_us, line, changes)
        if is_first:
            refuse(Place(self.file, max(line, 2), 1), "rows after the header", "none")
        yield Row(before_us, time_us, line, ())

    def _number(self, kind: Callable[[str], int] | Callable[[str], float], text: str, line: int, expected: str) -> int:
        try:
            return kind(text)  # type: ignore[return-value]
        except ValueError:
            refuse(Place(self.file, line, 1), expected, repr(text[:40]))

    def _changes(self, fields: list[str], line: int) -> tuple[Change, ...]:
        found = [self._change(word.partition(".")[0], word, line) for word in fields[2].split()]
        for words in fields[3:5]:
            found += [self._change(word[1:], word, line) for word in words.split()]
        return tuple(found)

    def _change(self, name: str, word: str, line: int) -> Change:
        number = self.numbers.get(name)
        channel = None if number is None else self.channels[number]
        if number is not None and channel is not None:
            if channel.kind is ChannelKind.STEP and word.lower() in channel.values:
                return number, channel.values[word.lower()]
            if channel.kind is not ChannelKind.STEP and word[0] in "+-":
                return number, int(word[0] == "+")
        return refuse(Place(self.file, line, 1), "a name of this sequence after + or -, or chart.step", repr(word[:60]))
