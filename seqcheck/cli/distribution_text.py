"""A distribution as blocks: percentiles, a histogram of bars, and the proven worst drawn beside them."""

from __future__ import annotations

from seqcheck.check.distribution import Distribution
from seqcheck.cli.block import Block, Cell, Heading, Lines, Table, Tone, cells
from seqcheck.quantities.unit_system import in_shown_units

BAR = 40
"""Letters of the longest bar."""
PROVEN = "<- proven worst"


def distribution_blocks(part: Distribution) -> tuple[Block, ...]:
    """The distribution for people."""
    tone = Tone.BAD if part.is_beyond else Tone.PLAIN
    return (
        Heading(f"{part.quantity} [{_unit(part)}]"),
        Table(("percent", *(f"{percent}" for percent, _ in part.percentiles), "least", "mean", "most"), (_row(part),)),
        Lines(tuple(Cell(text) for text in histogram(part))),
        Lines((Cell(_compared(part), tone),)),
    )


def _row(part: Distribution) -> tuple[Cell, ...]:
    values = (*(value for _, value in part.percentiles), part.least, part.mean, part.greatest)
    return cells("value", *(_number(value, part) for value in values))


def _number(value: float, part: Distribution) -> str:
    return f"{in_shown_units(value, part.unit)[0]:.3f}"


def _unit(part: Distribution) -> str:
    return in_shown_units(0.0, part.unit)[1]


def histogram(part: Distribution) -> list[str]:
    """A line for each bin; the proven worst has a line of its own before or after them, where it lies."""
    most = max(part.bins, key=lambda bin_: bin_.count).count
    found = []
    for bin_ in part.bins:
        bar = "#" * max(round(BAR * bin_.count / most), int(bin_.count > 0))
        found.append(f"{_number(bin_.low, part):>10} {bar:<{BAR}} {bin_.count}".rstrip())
    if part.proven.value is None:
        return found
    line = f"{_number(part.proven.value, part):>10} {PROVEN}"
    place = sum(bin_.low <= part.proven.value for bin_ in part.bins)
    return [*found[:place], line, *found[place:]]


def _compared(part: Distribution) -> str:
    """How close the worst sample comes to the proven worst."""
    if part.left is None or part.proven.value is None or part.closeness is None:
        return f"Proven worst: none ({part.proven.note})."
    kind = "attained by a run" if part.proven.is_exact else "a bound"
    worst, proven, unit = _number(part.worst, part), _number(part.proven.value, part), _unit(part)
    if part.is_beyond:
        return f"DEFECT: worst sample {worst} {unit} lies BEYOND the proven worst {proven} {unit}."
    return (
        f"Worst sample {worst} {unit}; proven worst {proven} {unit} ({kind}: {part.proven.note});"
        f" {_number(part.left, part)} {unit} between them, {part.closeness:.0%} of the way there from the median."
    )
