"""Workflow commands that make a build server show a note beside a line of a file.

`::error file={f},line={l},col={c},title={t}::{message}`. In a message `%`, CR and LF are escaped; in a value also `:` and `,`
(common practice of build servers' documentation; the escapes from memory).
"""

from __future__ import annotations

from seqcheck.gate.noted import Noted

MOST_SHOWN = 10
"""Annotations of each weight that a build server shows for one step (from memory); a last one says that there are more."""

_WORDS = {"error": "error", "warning": "warning", "note": "notice"}


def annotation_lines(noted: tuple[Noted, ...]) -> tuple[str, ...]:
    """A command a line: errors first, then warnings, then notices."""
    found: list[str] = []
    for weight in _WORDS:
        own = [part for part in noted if part.weight == weight]
        found.extend(_command(part) for part in own[:MOST_SHOWN])
        if len(own) > MOST_SHOWN:
            found.append(f"::{_WORDS[weight]} title=seqcheck::{len(own) - MOST_SHOWN} more; see the report")
    return tuple(found)


def _command(part: Noted) -> str:
    place = part.place
    values = {"file": place.file, "line": str(place.line), "col": str(place.column), "title": f"seqcheck: {part.rule}"}
    parameters = ",".join(f"{name}={_value(text)}" for name, text in values.items())
    return f"::{_WORDS[part.weight]} {parameters}::{_message(part.message)}"


def _message(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _value(text: str) -> str:
    return _message(text).replace(":", "%3A").replace(",", "%2C")
