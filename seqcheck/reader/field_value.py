"""The value of one declared field: what a device type or requirement kind declares, its file says.

One function a `FieldKind`, found in a table; a new type or kind needs no change here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seqcheck.errors import Place
from seqcheck.language.document import MapNode, Node, Scalar
from seqcheck.language.field import Field, FieldKind, FieldValue, FreeState, Signal
from seqcheck.language.sequence import Entry
from seqcheck.quantities.number import parse_number, parse_years
from seqcheck.quantities.time import TimeRange, parse_time, parse_time_range
from seqcheck.quantities.units import Dimension, parse_quantity, parse_quantity_range
from seqcheck.reader.acts import read_acts
from seqcheck.reader.condition import read_condition, read_conditions
from seqcheck.reader.free_state import read_free_states
from seqcheck.reader.plain_value import (
    check_keys,
    read_map,
    read_name,
    read_names,
    read_parsed,
    read_text,
    read_word,
)
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.reader.signal import read_signal


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldsRead:
    """What came of the fields of one owner. `is_complete`: nothing is missing and nothing was wrong."""

    entries: tuple[Entry, ...]
    is_complete: bool


def read_fields(
    owner: MapNode,
    fields: tuple[Field, ...],
    others: tuple[str, ...],
    what: str,
    place: Place,
    log: ProblemLog,
) -> FieldsRead:
    """Read `fields` of `owner`, called `what` (`device knife (cylinder)`); `others` are keys read elsewhere.

    Missing required fields are noted at `place`, names that are no field at their own place.
    """
    before = len(log)
    check_keys(owner, (*(field.name for field in fields), *others), f"a field of {what}", log)
    entries = _entries(owner, fields, what, place, log)
    return FieldsRead(entries=entries, is_complete=len(log) == before)


def _entries(
    owner: MapNode, fields: tuple[Field, ...], what: str, place: Place, log: ProblemLog
) -> tuple[Entry, ...]:
    entries: list[Entry] = []
    for field in fields:
        node = owner.get(field.name)
        if node is not None:
            entries += _entries_of_field(node, field, what, log)
        elif field.required:
            log.note(place, f"{field.name!r} in {what} ({field.meaning})", "nothing")
    return tuple(entries)


def _entries_of_field(node: Node, field: Field, what: str, log: ProblemLog) -> tuple[Entry, ...]:
    if field.kind is FieldKind.GROUP:
        return _group(node, field, what, log)
    value = READERS[field.kind](node, field, log)
    return () if value is None else (Entry(name=field.name, value=value, place=node.place),)


def _group(node: Node, field: Field, what: str, log: ProblemLog) -> tuple[Entry, ...]:
    group = read_map(node, f"a map for {field.name!r} ({field.meaning})", log)
    if group is None:
        return ()
    inside = read_fields(group, field.members, (), f"{field.name} of {what}", group.place, log)
    return tuple(
        Entry(name=f"{field.name}.{entry.name}", value=entry.value, place=entry.place)
        for entry in inside.entries
    )


def _expected(field: Field, form: str) -> str:
    return f"{form} for {field.name!r}"


def read_positive_time(node: Node, what: str, log: ProblemLog) -> int | None:
    """Return microseconds greater than zero."""
    time_us = read_parsed(node, f"a time such as '250 ms' for {what}", parse_time, log)
    if time_us == 0:
        log.note(node.place, f"a time longer than zero for {what}", "0 ms")
        return None
    return time_us


def read_times(node: Node, what: str, log: ProblemLog) -> TimeRange | None:
    """Return a range of times, which may be zero: a device type knows which of its times may be none."""
    return read_parsed(node, f"a range of times such as '120..250 ms' for {what}", parse_time_range, log)


def read_time_range(node: Node, what: str, log: ProblemLog) -> TimeRange | None:
    """Return a range whose latest time is greater than zero."""
    times = read_times(node, what, log)
    if times is not None and times.latest_us == 0:
        log.note(node.place, f"a latest time longer than zero for {what}", "0 ms")
        return None
    return times


def read_quantity(node: Node, what: str, dimension: Dimension, log: ProblemLog) -> float | None:
    """Return the number in the unit of `dimension`."""
    expected = f"{dimension.label} such as '{dimension.example}' for {what}"
    return read_parsed(node, expected, lambda text: parse_quantity(text, dimension), log)


def _quantity(dimension: Dimension) -> Callable[[Node, Field, ProblemLog], float | None]:
    return lambda node, field, log: read_quantity(node, repr(field.name), dimension, log)


def _quantity_range(dimension: Dimension) -> Callable[[Node, Field, ProblemLog], tuple[float, float] | None]:
    def read(node: Node, field: Field, log: ProblemLog) -> tuple[float, float] | None:
        expected = f"{dimension.label} such as '{dimension.example}', or a range of it, for {field.name!r}"
        return read_parsed(node, expected, lambda text: parse_quantity_range(text, dimension), log)

    return read


def _name(node: Node, field: Field, log: ProblemLog) -> str | None:
    """Return a name defined elsewhere; it may have dots, so its shape is checked when it is looked up."""
    return read_text(node, _expected(field, "a name"), log)


def _names(node: Node, field: Field, log: ProblemLog) -> tuple[str, ...] | None:
    names = read_names(node, _expected(field, "a name or a list of names"), log)
    return tuple(name.text for name in names) or None


def _word(node: Node, field: Field, log: ProblemLog) -> str | None:
    return read_word(node, _expected(field, "a word"), field.choices, log)


def _signal(node: Node, field: Field, log: ProblemLog) -> Signal | None:
    return read_signal(node, _expected(field, "the name of an input"), log)


def _positions(node: Node, field: Field, log: ProblemLog) -> tuple[FreeState, ...] | None:
    owner = read_map(node, _expected(field, "a map from a position to its input"), log)
    read = [_position(key, value, field, log) for key, value in (owner.entries if owner else ())]
    found = tuple(position for position in read if position is not None)
    return found if found and len(found) == len(read) else None


def _position(key: Scalar, node: Node, field: Field, log: ProblemLog) -> FreeState | None:
    name, signal = read_name(key, "the name of a position", log), _signal(node, field, log)
    return None if name is None or signal is None else FreeState(name=name, signals=(signal,))


READERS: dict[FieldKind, Callable[[Node, Field, ProblemLog], FieldValue | None]] = {
    FieldKind.TIME_RANGE: lambda node, field, log: read_times(node, repr(field.name), log),
    FieldKind.TIME: lambda node, field, log: read_positive_time(node, repr(field.name), log),
    FieldKind.OUTPUT: lambda node, field, log: read_name(
        node, _expected(field, "the name of an output"), log
    ),
    FieldKind.SIGNAL: _signal,
    FieldKind.CONDITION: lambda node, _field, log: read_condition(node, log),
    FieldKind.CONDITIONS: lambda node, _field, log: read_conditions(node, log),
    FieldKind.ENERGY: lambda node, field, log: read_name(
        node, _expected(field, "the name of a circuit"), log
    ),
    FieldKind.RATIO: _quantity(Dimension.RATIO),
    FieldKind.LENGTH: _quantity(Dimension.LENGTH),
    FieldKind.LENGTH_RANGE: _quantity_range(Dimension.LENGTH),
    FieldKind.NUMBER: lambda node, field, log: read_parsed(node, _expected(field, "a number"), parse_number, log),
    FieldKind.YEARS: lambda node, field, log: read_parsed(
        node, _expected(field, "a time such as '80 years'"), parse_years, log
    ),
    FieldKind.COUNTS: _quantity(Dimension.COUNTS),
    FieldKind.COUNTS_PER_LENGTH: _quantity_range(Dimension.COUNTS_PER_LENGTH),
    FieldKind.FORCE: _quantity(Dimension.TENSION),
    FieldKind.SPEED: _quantity(Dimension.SPEED),
    FieldKind.WORD: _word,
    FieldKind.TEXT: lambda node, field, log: read_text(node, _expected(field, "a text"), log),
    FieldKind.NAME: _name,
    FieldKind.NAMES: _names,
    FieldKind.OUTPUTS: _names,
    FieldKind.STATES: lambda node, _field, log: read_free_states(node, log),
    FieldKind.POSITIONS: lambda node, field, log: _positions(node, field, log),
    FieldKind.ACTS: lambda node, _field, log: read_acts(node, log),
}
"""How each kind of field is read; a group is read by its members."""
