"""A table of measurements: rows of values, printed in columns or handed on as data."""

from __future__ import annotations

from dataclasses import asdict, dataclass

Value = str | int | float | None
Row = tuple[Value, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One part of the benchmark. None in a row: not measured, for a reason that another column or a note gives."""

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()

    def data(self) -> dict[str, object]:
        """The table for JSON."""
        return asdict(self)

    def text(self) -> str:
        """The table for people: text to the left, numbers to the right."""
        cells = [self.columns, *(tuple(shown(value) for value in row) for row in self.rows)]
        widths = [max(len(line[place]) for line in cells) for place in range(len(self.columns))]
        lines = [self._line(line, widths) for line in cells]
        rule = "  ".join("-" * width for width in widths)
        return "\n".join([self.title, lines[0], rule, *lines[1:], *self.notes])

    def _line(self, cells: tuple[str, ...], widths: list[int]) -> str:
        aligned = [
            cell.ljust(width) if self._is_text(place) else cell.rjust(width)
            for place, (cell, width) in enumerate(zip(cells, widths, strict=True))
        ]
        return "  ".join(aligned).rstrip()

    def _is_text(self, place: int) -> bool:
        return any(isinstance(row[place], str) for row in self.rows)


def shown(value: Value) -> str:
    """A value with about three digits; a whole number with all of them."""
    if value is None:
        return "-"
    if isinstance(value, str):
        return value
    if isinstance(value, int):
        return f"{value:,}"
    return f"{value:,.0f}" if abs(value) >= 100 else f"{value:.3g}"


def ratio(first: float | None, second: float | None) -> float | None:
    """How many times `second` goes into `first`; None where either is not known or nothing is to divide by."""
    return None if first is None or not second else first / second
