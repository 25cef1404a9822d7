"""A track as tables: places of the splice's way with their counts, and the gate's counts against what they must keep."""

from __future__ import annotations

from seqcheck.check.track import Track, commands_of
from seqcheck.cli.block import Block, Cell, Heading, Table, cells, lines, one_line
from seqcheck.requirements.reject import LEAST, MOST
from seqcheck.web.splice_position import CountWindow, Encoder, LengthRange

COUNTED_BY = {
    Encoder.LINE: "an encoder in the line, behind the accumulator",
    Encoder.UNWIND: "an encoder at the unwind, before the accumulator",
}


def track_blocks(track: Track) -> tuple[Block, ...]:
    """Everything there is to show of one track."""
    requirement, judged = track.judged.requirement, track.judged
    title = Heading(one_line(f"{requirement.id}: {judged.verdict.value}, under {judged.hypothesis}"))
    reason = lines(one_line(judged.reason)) if judged.reason else lines(one_line(requirement.text))
    if track.content is None or track.places is None or track.spoilt is None:
        return (title, reason, lines("No run was measured, so there are no counts to show."))
    return (
        title,
        reason,
        lines(
            f"Counted by {COUNTED_BY[track.setting.way.encoder]}, from the entry of its step on.",
            f"Stored web when the count begins: {_metres(track.content)} ({_exactness(track)}).",
            f"A count is {1000 * track.setting.length_per_count.least_m:.4f} to "
            f"{1000 * track.setting.length_per_count.most_m:.4f} mm of web.",
        ),
        _places(track),
        _gate(track),
    )


def _exactness(track: Track) -> str:
    """Which ends of the stored web one replayed run attains."""
    names = {LEAST: "least", MOST: "most"}
    found = {names[part.quantity]: part.is_exact for part in track.judged.measures if part.quantity in names}
    if all(found.values()):
        return "exact"
    return ", ".join(f"{name} {'exact' if is_exact else 'by bound'}" for name, is_exact in found.items())


def _metres(content: LengthRange) -> str:
    return f"{content.least_m:.3f} to {content.most_m:.3f} m"


def _places(track: Track) -> Table:
    assert track.places is not None and track.spoilt is not None, "the caller has looked"
    rows = (
        ("splice enters the accumulator", track.places.entry),
        ("splice leaves the accumulator", track.places.exit),
        ("splice is at the gate", track.places.gate),
        ("spoilt web is at the gate", track.spoilt),
    )
    return Table(("place", "earliest count", "latest count"), tuple(_row(name, window) for name, window in rows))


def _row(name: str, window: CountWindow) -> tuple[Cell, ...]:
    return cells(name, str(window.earliest), str(window.latest))


def _gate(track: Track) -> Table:
    assert track.open_by is not None and track.spoilt is not None, "the caller has looked"
    opens, closes = commands_of(track.judged.requirement)
    return Table(
        ("gate is told to", "at count", "must be", "margin"),
        (
            cells("open", f"{opens:g}", f"at most {track.open_by}", f"{track.open_by - opens:g}"),
            cells("close", f"{closes:g}", f"at least {track.spoilt.latest}", f"{closes - track.spoilt.latest:g}"),
        ),
    )
