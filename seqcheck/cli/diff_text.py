"""A difference as blocks for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.cli.block import Block, Heading, Table, Tone, cells, lines
from seqcheck.cli.witness_text import witness_blocks
from seqcheck.compare.difference import Difference, Direction, OnlyOne, Sameness, StayChange
from seqcheck.quantities.time import format_time

TONES = {
    Sameness.SAME_FORM: Tone.GOOD,
    Sameness.SAME_ORDERS: Tone.GOOD,
    Sameness.DIFFERENT: Tone.BAD,
    Sameness.NOT_DECIDED: Tone.DOUBT,
}


def difference_blocks(found: Difference, old: str, new: str) -> tuple[Block, ...]:
    """The verdict, what each can do alone, stays in steps, parts that were changed."""
    return (
        Heading(f"{old} -> {new}", TONES[found.sameness]),
        lines(f"{found.sameness.value[0].upper()}{found.sameness.value[1:]}."),
        *_direction(found.gained, "What only the new one can do", found),
        *_direction(found.lost, "What only the old one can do", found),
        *_stays(found),
        *_parts(found),
    )


def _direction(found: Direction, title: str, whole: Difference) -> Iterator[Block]:
    if whole.sameness is Sameness.SAME_FORM:
        return
    yield Heading(title)
    if found.found is None:
        yield lines(_nothing(found))
        return
    only = found.found
    same = "at the same times" if only.at_same_times else "in whatever times"
    yield lines(f"After the same events, {same}, this can happen: {only.event}.", _instead(only))
    yield from witness_blocks(only.witness)


def _nothing(found: Direction) -> str:
    if not found.complete:
        fewest = f"only runs with fewer than {found.acts_covered} acts of people or surroundings were compared in full"
        return f"Nothing found; the search was bounded: {fewest}."
    failures = "and with any one failure" if found.failures_covered else "(with a failure not all were)"
    return f"Nothing: every run without failures {failures} was compared."


def _instead(only: OnlyOne) -> str:
    if only.instead:
        return f"There the other one {'does' if only.at_same_times else 'can only'}: {'; '.join(only.instead)}."
    does = "does nothing that is seen" if only.at_same_times else "waits for somebody to act"
    return f"There the other one {does}."


def _stays(found: Difference) -> Iterator[Block]:
    if found.stays:
        yield Heading("Time in steps with a watchdog")
        yield Table(("step", "old", "new"), tuple(cells(part.step, _range(part, 0), _range(part, 1)) for part in found.stays))
    for part in found.stays:
        if part.run is not None:
            yield Heading(f"The longer stay in {part.step}")
            yield from witness_blocks(part.run)
    if found.not_measured:
        yield lines(f"Not measured (never left in time, or too large): {', '.join(found.not_measured)}.")


def _range(part: StayChange, number: int) -> str:
    stay = (part.old, part.new)[number]
    return f"{format_time(stay.shortest_us)} .. {format_time(stay.longest_us)}"


def _parts(found: Difference) -> Iterator[Block]:
    if found.parts:
        yield Heading("What was changed")
        rows = tuple(cells(part.kind.value, part.where, part.old or "-", part.new or "-", str(part.place)) for part in found.parts)
        yield Table(("part", "where", "old", "new", "place"), rows)
