"""The acceptance test as Markdown (CommonMark with tables). Every text of the file is escaped, so that it shows as it is."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from seqcheck.report.protocol import MachineCheck, Protocol, SetUp, StepLine
from seqcheck.report.protocol_page import ROLES
from seqcheck.report.troubleshooting import AlarmEntry

BLANK = "\\_\\_\\_\\_\\_\\_\\_\\_"
BOX = "☐"

STEP_COLUMNS = ("In step", "First alarm", "Safe", "Then in", "Seen on the way, in some run")

_MARKS = re.compile(r"[\\`*{}\[\]#|~!$]|(?<![A-Za-z0-9])_|_(?![A-Za-z0-9])")
_LINKS = re.compile(r"(?<=\w):(?=//)|(?<=www)\.|(?<=\w)@(?=\w)", re.IGNORECASE)
_LEADING = re.compile(r"^(\d+)([.)])|^([-+=])")


def markdown_text(text: str) -> str:
    """The text on one line, with nothing left that Markdown, HTML in it, or a link finder would take for its own."""
    plain = " ".join(text.split()).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    plain = _LINKS.sub(lambda found: f"&#{ord(found[0])};", _MARKS.sub(r"\\\g<0>", plain))
    return _LEADING.sub(lambda found: f"{found[1]}\\{found[2]}" if found[1] else f"\\{found[3]}", plain)


def protocol_markdown(protocol: Protocol) -> str:
    """The Markdown text of `protocol`."""
    return "\n".join(_lines(protocol)) + "\n"


def _lines(protocol: Protocol) -> Iterator[str]:
    yield from _head(protocol)
    yield from _ranges(protocol)
    yield from _points(protocol)
    for _, title, routine, set_ups in protocol.parts:
        yield from (f"## {title}", "")
        if routine:
            yield from _routine(protocol)
        for set_up in set_ups:
            yield from _set_up(protocol.number(set_up), set_up)
    yield from ("## Faults without a check", "")
    yield from _table(("Fault", "Why", "Accepted by"), ((name, why, None) for name, why in protocol.not_tested))
    yield from ("## Alarms and their causes", "")
    for alarm in protocol.alarms:
        yield from _alarm(alarm)
    yield from ("## Sign-off", "")
    yield from _table(("Role", "Name", "Signature", "Date"), ((role, None, None, None) for role in ROLES))


def _head(protocol: Protocol) -> Iterator[str]:
    head = protocol.head
    yield f"# Acceptance test: {markdown_text(head.sequence)}"
    yield ""
    yield f"- Revision: {markdown_text(head.revision)}"
    yield f"- Date: {markdown_text(head.date) or BLANK}"
    yield f"- Machine, serial number: {BLANK}"
    yield f"- Checked by: seqcheck {markdown_text(head.version)}"
    for file in head.files:
        yield f"- File: {markdown_text(file.name)}, SHA-256 {file.sha256}"
    yield f"- Extent: {protocol.checks} checks in {len(protocol.set_ups)} set-ups"
    yield from ("", f"> **Caution.** {markdown_text(' '.join(protocol.caution))}", "")


def _ranges(protocol: Protocol) -> Iterator[str]:
    scope = protocol.head.scope
    period, write = markdown_text(scope.scan_period), markdown_text(scope.scan_write)
    yield from ("## What the times rest on", "")
    yield (
        f"A read of the inputs every {period}, outputs written {write} after it, "
        "and all times of devices within these ranges. If the machine lies outside them, no time below counts."
    )
    yield ""
    rows = ((part.name, "; ".join(" ".join(pair) for pair in part.ranges), None) for part in scope.devices if part.ranges)
    yield from _table(("Device", "Ranges of the file", "Measured"), rows)


def _points(protocol: Protocol) -> Iterator[str]:
    yield from ("## Inputs and outputs", "")
    inputs = ((one.name, f"{one.device}, {one.contact}", one.delay or "-", one.seen_by, None, None) for one in protocol.inputs)
    yield from _table(("Input", "From", "Delay", "Seen by", "Terminal", "Off and on seen"), inputs)
    outputs = (
        (one.name, ", ".join(one.drives) or "-", ", ".join(one.hazards) or "-", ", ".join(one.steps), None, None)
        for one in protocol.outputs
    )
    yield from _table(("Output", "Drives", "Hazard", "On in steps", "Terminal", "Seen"), outputs)


def _routine(protocol: Protocol) -> Iterator[str]:
    yield from ("In every one of these checks:", "", *_numbered(protocol.routine), "")
    yield from (f"Assumed: {markdown_text(protocol.timing)}.", "")
    if protocol.watched:
        yield from ("In every one of these checks these hold too:", "")
        yield from (f"- {markdown_text(f'{id_}: {text}')}" for id_, text in protocol.watched)
        yield ""


def _set_up(number: int, set_up: SetUp) -> Iterator[str]:
    yield from (f"### Set-up {number}. {markdown_text(set_up.title)}", "", *_numbered(set_up.prepare), "")
    for place, check in enumerate(set_up.checks, 1):
        yield from _check(f"{number}.{place}", check)
    yield from ("Afterwards:", "", *_numbered(set_up.restore), "")


def _check(number: str, check: MachineCheck) -> Iterator[str]:
    yield from (f"#### {number} {markdown_text(check.title)}", "")
    for text in check.warn:
        yield from (f"**({markdown_text('!')}) {markdown_text(text)}**", "")
    yield from ("Do:", "", *_numbered(check.do), "")
    yield from ("Expect:", "", *(f"- {markdown_text(text)}" for text in check.expect), "")
    if check.in_steps:
        columns = (*STEP_COLUMNS, f"Measured: {', '.join(check.write_down)}", "As expected")
        yield from _table(columns, (_step_cells(line) for line in check.in_steps))
    blanks = [f"{markdown_text(what)}: {BLANK}" for what in check.write_down if not check.in_steps]
    result = f"{BOX} as expected {BOX} not" if check.is_proven else f"{BOX} put right, to be checked again"
    yield from ("; ".join((*blanks, result, f"signed, date: {BLANK}{BLANK}")), "")


def _step_cells(line: StepLine) -> tuple[str | None, ...]:
    return line.step, line.alarm, line.safe, line.rests_in, line.on_the_way or "-", None, BOX


def _alarm(alarm: AlarmEntry) -> Iterator[str]:
    yield from (f"### {markdown_text(f'{alarm.alarm}: {alarm.text}')}", "")
    yield from (f"Clears when {markdown_text(alarm.clears_when)}. Text seen: {BOX}", "")
    rows = [("no fault", "-", f"after {', '.join(alarm.without_fault)}")] if alarm.without_fault else []
    for one in alarm.suspects:
        told = ", ".join(f"{name} {word}" for name, word in one.look_at if word != "either")
        rows.append((f"{one.failure} ({one.meaning})", ", ".join(one.steps), told or "-"))
    yield from _table(("Cause", "In steps", "Inputs at rest"), rows)


def _numbered(texts: Iterable[str]) -> Iterator[str]:
    return (f"{number}. {markdown_text(text)}" for number, text in enumerate(texts, 1))


def _table(columns: tuple[str, ...], rows: Iterable[tuple[str | None, ...]]) -> Iterator[str]:
    """A table; None is a place to write in."""
    made = [f"| {' | '.join(BLANK if cell is None else markdown_text(cell) for cell in row)} |" for row in rows]
    if not made:
        yield from ("None.", "")
        return
    yield from (f"| {' | '.join(columns)} |", f"|{' --- |' * len(columns)}", *made, "")
