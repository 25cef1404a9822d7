"""A summary for a pull request: what blocks, the table of verdicts, margins old to new, the first run folded."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Iterator

from seqcheck.gate.policy import Level
from seqcheck.gate.result import KeptMeasure, KeptRequirement, SequenceResult
from seqcheck.gate.run_text import run_lines
from seqcheck.gate.verdict import FileVerdict, GateVerdict, JudgedChange

MOST_ROWS = 200
"""Rows of one table; what a pull request shows has a limit of about 65,000 characters (from memory)."""

NOTHING = "-"
_SPECIAL = re.compile(r"([\\`*_{}\[\]()#+!|~])")


def markdown_text(verdict: GateVerdict, caution: tuple[str, ...] = ()) -> str:
    """The whole summary; `caution` are the lines that everybody who reads a result must know."""
    lines = [
        f"## seqcheck: {headline(verdict)}",
        "",
        f"Compared with {_plain(verdict.base)}.",
        "",
        *_changes(verdict),
        *_first_run(verdict),
        *(line for file in verdict.files for line in _file(file)),
        *_waivers(verdict),
        *(f"> {_plain(line)}" for line in caution),
    ]
    return "\n".join(lines) + "\n"


def headline(verdict: GateVerdict) -> str:
    """The verdict in a sentence."""
    blocking, warning = len(verdict.of_level(Level.BLOCK)), len(verdict.of_level(Level.WARN))
    waived = len(verdict.of_level(Level.WAIVED))
    more = f", {waived} waived" if waived else ""
    counts = f"{blocking} blocking, {warning} warning{more}"
    return f"blocked ({counts})" if blocking else f"may pass ({counts})"


def _changes(verdict: GateVerdict) -> Iterator[str]:
    shown = [*verdict.of_level(Level.BLOCK), *verdict.of_level(Level.WARN), *verdict.of_level(Level.WAIVED)]
    notes = verdict.of_level(Level.NOTE)
    if not shown and not notes:
        yield from ("Nothing that is proven has changed.", "")
        return
    rows = [_change_row(part) for part in (*shown, *notes)]
    yield from _table(("", "change", "file", "requirement", "what", "old", "new"), rows)


def _change_row(part: JudgedChange) -> tuple[str, ...]:
    change = part.change
    level = f"**{part.level.value}**" if part.level is Level.BLOCK else part.level.value
    text = _plain(change.text)
    if part.level is Level.WAIVED and part.waiver is not None:
        text += f" (waived by {_plain(part.waiver.approver)} until {part.waiver.expires.isoformat()})"
    where = _plain(f"{change.place.file}:{change.place.line}")
    return (level, change.kind.value, where, _plain(change.requirement), text, _plain(change.old), _plain(change.new))


def _first_run(verdict: GateVerdict) -> Iterator[str]:
    """The first run that breaks something, folded, so that it does not bury the rest."""
    ranked = [part for level in (Level.BLOCK, Level.WARN, Level.WAIVED) for part in verdict.of_level(level)]
    shown = next((part for part in ranked if part.change.run), None)
    if shown is None:
        return
    change = shown.change
    summary = html.escape(f"A run that breaks {change.requirement} of {change.place.file}")
    lines = [line.replace("`", "'") for line in run_lines(change.run)]
    yield from (f"<details><summary>{summary}</summary>", "", "```text", *lines, "```", "", "</details>", "")


def _file(file: FileVerdict) -> Iterator[str]:
    if file.new is None or file.new.problems:
        return
    yield from (f"### {_plain(file.file)}: {_plain(file.new.sequence)}", "")
    rows = [_verdict_row(judged, file.old) for judged in file.new.requirements]
    if rows:
        yield from _table(("requirement", "base", "now", "under", "quantity", "worst", "limit", "margin"), rows)


def _verdict_row(judged: KeptRequirement, old: SequenceResult | None) -> tuple[str, ...]:
    before = None if old is None else old.requirement(judged.asked.id)
    measure = min(judged.measures, key=_nearness, default=None)
    return (
        _plain(judged.asked.id),
        NOTHING if before is None else before.verdict,
        judged.verdict if judged.verdict == "holds" else f"**{judged.verdict}**",
        _plain(judged.under),
        *_measure_cells(measure, before),
    )


def _nearness(measure: KeptMeasure) -> float:
    return float("inf") if measure.margin is None else measure.margin


def _measure_cells(measure: KeptMeasure | None, before: KeptRequirement | None) -> tuple[str, ...]:
    if measure is None:
        return (NOTHING,) * 4
    olds = () if before is None else before.measures
    old = next((part for part in olds if part.quantity == measure.quantity and part.unit == measure.unit), None)
    limit = None if old is None else old.text(old.limit)
    return (
        _plain(measure.quantity),
        _from_to(None if old is None else old.worst_text, measure.worst_text),
        _from_to(limit, measure.text(measure.limit)),
        _from_to(None if old is None else old.margin_text, measure.margin_text),
    )


def _from_to(old: str | None, new: str) -> str:
    return new if old is None or old == new else f"{old} -> {new}"


def _waivers(verdict: GateVerdict) -> Iterator[str]:
    for waiver in verdict.unused:
        yield f"The waiver of {_plain(waiver.requirement)} (until {waiver.expires.isoformat()}) was not needed."
    for warning in verdict.warnings:
        yield f"Warning: {_plain(warning)}"
    if verdict.unused or verdict.warnings:
        yield ""


def _table(columns: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Iterator[str]:
    every = list(rows)
    yield f"| {' | '.join(columns)} |"
    yield f"|{' --- |' * len(columns)}"
    yield from (f"| {' | '.join(cell or NOTHING for cell in row)} |" for row in every[:MOST_ROWS])
    if len(every) > MOST_ROWS:
        yield f"| {len(every) - MOST_ROWS} more rows |{' |' * (len(columns) - 1)}"
    yield ""


def _plain(text: str) -> str:
    """The text as it is, on one line: nothing in a file may become markup or a mention."""
    escaped = _SPECIAL.sub(r"\\\1", html.escape(" ".join(text.split()), quote=False))
    return escaped.replace("@", "@\u200b")
