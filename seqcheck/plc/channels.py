"""Which column of a recording is what in the sequence: by its own name, or as the file or the command line says."""

from __future__ import annotations

import re
from collections.abc import Iterable
from collections.abc import Sequence as Row
from dataclasses import dataclass, field

from seqcheck.errors import Place, Problem, SequenceFileError, nearest_name
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.plc.channel import Channel, ChannelKind
from seqcheck.plc.recording_map import RecordingMap

TRUTH = {
    "0": 0, "1": 1, "false": 0, "true": 1, "off": 0, "on": 1, "no": 0, "yes": 1, "0.0": 0, "1.0": 1,
}  # fmt: skip
"""What a two-valued column may hold, in lower case."""

DRIVES = frozenset({"drive", "line_drive"})
_SPEED = re.compile(r"(?P<drive>[A-Za-z][A-Za-z0-9_]*?)(\.|_)speed(\s*[\[(]m/s[\])])?")
_NOT_SIGNALS = frozenset({"devices", "curves"})
"""Scopes of our own dumps whose variables are no signals: what the machine truly does."""


@dataclass(slots=True)
class Names:
    """Everything in a sequence that can be recorded. Filled once, then read."""

    sequence: Sequence
    network: Network
    mapping: RecordingMap
    known: dict[str, tuple[ChannelKind, int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Gather the names."""
        names = self.network.names
        for kind, numbers in (
            (ChannelKind.INPUT, names.signals), (ChannelKind.OUTPUT, names.outputs), (ChannelKind.CELL, names.cells)
        ):  # fmt: skip
            self.known.update({name: (kind, number) for name, number in numbers.items()})
        for chart in self.network.controller.charts:
            self.known.setdefault(chart.name, (ChannelKind.STEP, chart.number))
        drives = [device.name for device in self.sequence.devices if device.type_name in DRIVES]
        self.known.update({f"{name}.speed": (ChannelKind.SPEED, number) for number, name in enumerate(drives)})

    def channel(self, name: str, column: str) -> Channel:
        """The channel of `name`, which is known, recorded in `column`."""
        kind, number = self.known[name]
        values = self._steps(number) if kind is ChannelKind.STEP else {}
        return Channel(name=name, kind=kind, number=number, column=column, values=values)

    def _steps(self, number: int) -> dict[str, int]:
        chart = self.network.controller.charts[number]
        named = {name.lower(): place for place, name in enumerate(chart.step_names)}
        full = {f"{chart.name}.{name}".lower(): place for place, name in enumerate(chart.step_names)}
        plain = {str(place): place for place in range(len(chart.step_names))}
        return {**plain, **full, **named}

    def by_itself(self, column: str) -> str | None:
        """The name that a column stands for without being mapped: its own, or the last part of its path."""
        if column in self.known:
            return column
        scope, _, last = column.rpartition(".")
        match = _SPEED.fullmatch(last)
        if match is not None and f"{match['drive']}.speed" in self.known:
            return f"{match['drive']}.speed"
        return last if last in self.known and scope.rpartition(".")[2] not in _NOT_SIGNALS else None

    def every(self) -> tuple[str, ...]:
        """Every name that is no speed."""
        return tuple(name for name, (kind, _) in self.known.items() if kind is not ChannelKind.SPEED)


def channels_of(names: Names, columns: Row[str], header: Place) -> tuple[dict[int, Channel], tuple[str, ...]]:
    """The channel in each column that has one, and the columns that stand for nothing.

    Raises SequenceFileError if a mapping names what is not there, or two columns stand for one thing.
    """
    problems = [*_wrong_maps(names, columns)]
    mapped = {item.column: item.name for item in names.mapping.columns}
    taken = set(mapped.values())
    found: dict[int, Channel] = {}
    owner: dict[str, str] = {}
    for place, column in enumerate(columns):
        name = mapped.get(column)
        if name is None:
            name = names.by_itself(column)
            if name in taken:
                continue
        if name is None or name not in names.known:
            continue
        if name in owner:
            problems.append(_twice(name, owner[name], column, header))
        owner[name] = column
        found[place] = names.channel(name, column)
    if problems:
        raise SequenceFileError(problems)
    return found, tuple(column for place, column in enumerate(columns) if place not in found)


def _wrong_maps(names: Names, columns: Row[str]) -> Iterable[Problem]:
    for item in names.mapping.columns:
        if item.name not in names.known:
            yield _unknown(item.place, "an input, output, alarm, flag, chart or DEVICE.speed", item.name, names.known)
        if item.column not in columns:
            yield _unknown(item.place, "a column of the recording", item.column, columns)


def _unknown(place: Place, expected: str, found: str, known: Iterable[str]) -> Problem:
    return Problem(place=place, expected=expected, found=repr(found), nearest=nearest_name(found, known))


def _twice(name: str, first: str, second: str, header: Place) -> Problem:
    return Problem(place=header, expected=f"one column for {name}", found=f"{first!r} and {second!r}")
