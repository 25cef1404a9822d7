"""The numbers that a file gives once for all devices: scan, web, line, roll, unwind, accumulator."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seqcheck.errors import Place
from seqcheck.language.document import MapNode, Node
from seqcheck.language.sequence import Accumulator, Line, MachineData, Roll, Scan, Unwind, Web
from seqcheck.quantities.time import TimeRange, format_time
from seqcheck.quantities.units import Dimension
from seqcheck.reader.field_value import read_quantity, read_time_range, read_times
from seqcheck.reader.limits import MOST_STRANDS
from seqcheck.reader.plain_value import check_keys, read_map, read_parsed
from seqcheck.reader.problem_log import ProblemLog


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineField:
    """A field of one of these sections: how it is read (`form` for the schema), one line of meaning."""

    meaning: str
    dimension: Dimension | None = None
    form: str = "quantity"
    required: bool = False
    members: tuple[tuple[str, MachineField], ...] = ()


def _quantity(dimension: Dimension, meaning: str, *, required: bool = False) -> MachineField:
    return MachineField(meaning=meaning, dimension=dimension, required=required)


def _times(meaning: str, *, required: bool = False, form: str = "time range") -> MachineField:
    return MachineField(meaning=meaning, form=form, required=required)


_TENSION = (
    ("run", _quantity(Dimension.TENSION, "web tension in production")),
    ("least", _quantity(Dimension.TENSION, "below this the web is slack")),
    ("most", _quantity(Dimension.TENSION, "above this the web breaks")),
)

_WINDING = {
    "stop": _times("from line speed to standstill", required=True),
    "start": _times("from standstill to line speed", required=True),
    "overspeed": _quantity(Dimension.RATIO, "how much faster than the line it can run"),
    "compensation": _quantity(
        Dimension.RATIO, "share of the roll's inertia that its drive takes over in ramps; 100 % if not given"
    ),
}
"""The fields of an unwind, and of a rewind."""

SECTIONS: dict[str, dict[str, MachineField]] = {
    "scan": {
        "period": _times("between two reads of the inputs", required=True),
        "write": _times("from a read to its outputs", required=True, form="time range or zero"),
    },
    "web": {
        "width": _quantity(Dimension.LENGTH, "width of the web"),
        "caliper": _quantity(Dimension.LENGTH, "thickness of the web"),
        "grammage": _quantity(Dimension.GRAMMAGE, "mass per area"),
        "stiffness": _quantity(Dimension.STIFFNESS, "EA: force at a strain of one"),
        "tension": MachineField(meaning="tensions of the web", form="map", members=_TENSION),
        "span": _quantity(Dimension.LENGTH, "free web before the accumulator and after it, each; 2 m if not given"),
    },
    "line": {
        "speed": _quantity(Dimension.SPEED, "speed of the line that must not stop", required=True),
        "stop": _times("from line speed to standstill"),
        "start": _times("from standstill to line speed"),
    },
    "roll": {
        "outside": _quantity(Dimension.LENGTH, "diameter of a new roll", required=True),
        "core": _quantity(Dimension.LENGTH, "diameter of the core", required=True),
    },
    "unwind": _WINDING,
    "rewind": _WINDING,
    "accumulator": {
        "strands": MachineField(meaning="number of strands", form="count", required=True),
        "stroke": _quantity(Dimension.LENGTH, "travel of the carriage", required=True),
        "running": _quantity(Dimension.RATIO, "level in production", required=True),
        "filled": _quantity(
            Dimension.RATIO, "level when filled for a splice; at a rewind the highest level allowed", required=True
        ),
        "reserve": _quantity(Dimension.RATIO, "level that must always be left", required=True),
        "emptied": _quantity(Dimension.RATIO, "at a rewind: level when emptied for a cut-over"),
        "carriage": _quantity(Dimension.MASS, "mass of the carriage; 0 kg if not given"),
    },
}
"""The sections and their fields, in the order of a file."""

MachineValue = float | int | TimeRange
_MM_PER_M = 1000.0
_UNREAD_SCAN = Scan(period=TimeRange(1, 1), write=TimeRange(0, 0))


class _Values:
    """The values of one section by dotted name; read once, then only looked up."""

    def __init__(self, values: dict[str, MachineValue], section: MapNode) -> None:
        self._values = values
        self.section = section

    def number(self, name: str) -> float | None:
        value = self._values.get(name)
        return value if isinstance(value, float) else None

    def number_or_zero(self, name: str) -> float:
        return self.number(name) or 0.0

    def times(self, name: str) -> TimeRange | None:
        value = self._values.get(name)
        return value if isinstance(value, TimeRange) else None

    def times_or_instant(self, name: str) -> TimeRange:
        """Return an instant where a required range is missing, which has been noted."""
        return self.times(name) or TimeRange(1, 1)

    def count(self, name: str) -> int:
        value = self._values.get(name)
        return value if isinstance(value, int) else 1

    def place(self, name: str) -> Place:
        node = self.section.get(name)
        return node.place if node else self.section.place


def read_scan(document: MapNode, log: ProblemLog) -> Scan:
    """Return the scan; a problem where the section is missing."""
    if document.get("scan") is None:
        log.note(document.place, "'scan', e.g. {period: 4..10 ms, write: 0..10 ms}", "nothing")
    values = _section(document, "scan", log)
    period, write = (values.times("period"), values.times("write")) if values else (None, None)
    if values is None or period is None or write is None:
        return _UNREAD_SCAN
    if period.earliest_us == 0:
        log.note(values.place("period"), "a shortest period longer than zero", "0 ms")
    if write.earliest_us > period.earliest_us:
        shortest = format_time(period.earliest_us)
        expected = f"an earliest write no later than the shortest period ({shortest})"
        log.note(values.place("write"), expected, format_time(write.earliest_us))
    return Scan(period=period, write=write)


def read_machine_data(document: MapNode, log: ProblemLog) -> MachineData:
    """Return the sections that the file has."""
    return MachineData(
        web=_web(_section(document, "web", log), log),
        line=_line(_section(document, "line", log), log),
        roll=_roll(_section(document, "roll", log), log),
        unwind=_unwind(_section(document, "unwind", log), log),
        rewind=_unwind(_section(document, "rewind", log), log),
        accumulator=_accumulator(_section(document, "accumulator", log), log),
    )


def _web(values: _Values | None, log: ProblemLog) -> Web | None:
    if values is None:
        return None
    if values.number("span") == 0:
        log.note(values.place("span"), "a span longer than zero", "0 mm")
    least, run, most = (values.number(f"tension.{name}") for name in ("least", "run", "most"))
    ordered = [tension for tension in (least, run, most) if tension is not None]
    if ordered != sorted(ordered):
        log.note(values.place("tension"), "tensions with least <= run <= most", "another order")
    return Web(
        width_mm=values.number("width"),
        caliper_mm=values.number("caliper"),
        grammage_g_per_m2=values.number("grammage"),
        stiffness_n=values.number("stiffness"),
        tension_run_n=run,
        tension_least_n=least,
        tension_most_n=most,
        span_mm=values.number("span"),
    )


def _line(values: _Values | None, log: ProblemLog) -> Line | None:
    if values is None:
        return None
    if values.number("speed") == 0:
        log.note(values.place("speed"), "a line speed greater than zero", "0")
    return Line(
        speed_m_per_s=values.number_or_zero("speed"), stop=values.times("stop"), start=values.times("start")
    )


def _roll(values: _Values | None, log: ProblemLog) -> Roll | None:
    if values is None:
        return None
    outside, core = values.number("outside"), values.number("core")
    if outside is not None and core is not None and not 0 < core < outside:
        log.note(
            values.place("core"), "a core diameter above zero and below the outside diameter", f"{core:g} mm"
        )
    return Roll(outside_mm=outside or 0.0, core_mm=core or 0.0)


def _unwind(values: _Values | None, log: ProblemLog) -> Unwind | None:
    if values is None:
        return None
    if values.number_or_zero("compensation") > 1:
        log.note(values.place("compensation"), "a share of at most 100 %", f"{values.number('compensation'):.0%}")
    return Unwind(
        stop=values.times_or_instant("stop"),
        start=values.times_or_instant("start"),
        overspeed_ratio=values.number_or_zero("overspeed"),
        compensation_ratio=values.number("compensation"),
    )


def _accumulator(values: _Values | None, log: ProblemLog) -> Accumulator | None:
    if values is None:
        return None
    for name in ("running", "filled", "reserve", "emptied"):
        if values.number_or_zero(name) > 1:
            log.note(values.place(name), "a level of at most 100 %", f"{values.number_or_zero(name):.0%}")
    if values.number("stroke") == 0:
        log.note(values.place("stroke"), "a stroke longer than zero", "0 mm")
    levels = [values.number(name) for name in ("reserve", "running", "filled")]
    known = [level for level in levels if level is not None]
    if known != sorted(known):
        log.note(values.section.place, "levels with reserve <= running <= filled", "another order")
    emptied = values.number("emptied")
    if emptied is not None and not values.number_or_zero("reserve") <= emptied <= values.number_or_zero("running"):
        log.note(values.place("emptied"), "a level with reserve <= emptied <= running", f"{emptied:.0%}")
    return Accumulator(
        strands=values.count("strands"),
        stroke_m=values.number_or_zero("stroke") / _MM_PER_M,
        running_ratio=values.number_or_zero("running"),
        filled_ratio=values.number_or_zero("filled"),
        reserve_ratio=values.number_or_zero("reserve"),
        carriage_kg=values.number("carriage"),
        emptied_ratio=emptied,
    )


def _section(document: MapNode, name: str, log: ProblemLog) -> _Values | None:
    node = document.get(name)
    section = None if node is None else read_map(node, f"a map for {name!r}", log)
    if section is None:
        return None
    return _Values(_read(section, tuple(SECTIONS[name].items()), name, log), section)


def _read(
    section: MapNode, fields: tuple[tuple[str, MachineField], ...], what: str, log: ProblemLog
) -> dict[str, MachineValue]:
    check_keys(section, (name for name, _ in fields), f"a field of {what}", log)
    values: dict[str, MachineValue] = {}
    for name, field in fields:
        node = section.get(name)
        if node is not None and field.members:
            group = read_map(node, f"a map for {name!r}", log)
            inside = {} if group is None else _read(group, field.members, name, log)
            values.update({f"{name}.{member}": value for member, value in inside.items()})
        elif node is not None:
            value = _READERS[field.form](node, name, field, log)
            values.update({} if value is None else {name: value})
        elif field.required:
            log.note(section.place, f"{name!r} in {what} ({field.meaning})", "nothing")
    return values


def _quantity_value(node: Node, name: str, field: MachineField, log: ProblemLog) -> float | None:
    assert field.dimension is not None, "every quantity is declared with its dimension"
    return read_quantity(node, repr(name), field.dimension, log)


def _count_value(node: Node, name: str, _field: MachineField, log: ProblemLog) -> int | None:
    return read_parsed(node, f"a whole number for {name!r}", _strands, log)


def _strands(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 4 or not 0 < int(text) <= MOST_STRANDS:
        raise ValueError(f"expected a whole number from 1 to {MOST_STRANDS}, found {text!r}")
    return int(text)


_READERS: dict[str, Callable[[Node, str, MachineField, ProblemLog], MachineValue | None]] = {
    "quantity": _quantity_value,
    "count": _count_value,
    "time range": lambda node, name, _field, log: read_time_range(node, repr(name), log),
    "time range or zero": lambda node, name, _field, log: read_times(node, repr(name), log),
}
