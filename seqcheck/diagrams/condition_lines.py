"""A condition or sentence in lines narrow enough for a drawing."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

from seqcheck.language.expression import Expression, to_text

WIDEST_CONDITION = 28
"""Characters of a line of a condition; a single longer name stays whole."""

WIDEST_SENTENCE = 30
"""Characters of a line of a prompt."""

_BEFORE_OPERATOR = re.compile(r" (?=(?:AND|OR|XOR) )")


def condition_lines(condition: Expression, own_chart: str, lead: str = "") -> tuple[str, ...]:
    """The condition after `lead`, broken before operators; step flags of `own_chart` without its name."""
    text = lead + _without_own_chart(to_text(condition), own_chart)
    return packed(_BEFORE_OPERATOR.split(text), WIDEST_CONDITION)


def sentence_lines(text: str, widest: int = WIDEST_SENTENCE) -> tuple[str, ...]:
    """The sentence, broken between words, and in words that are longer than a line."""
    return tuple(textwrap.wrap(text, widest))


def packed(parts: Iterable[str], widest: int) -> tuple[str, ...]:
    """The parts with blanks between them, as many on a line as fit; no part is broken."""
    lines: list[str] = []
    for part in parts:
        if lines and len(lines[-1]) + 1 + len(part) <= widest:
            lines[-1] = f"{lines[-1]} {part}"
        else:
            lines.append(part)
    return tuple(lines)


def _without_own_chart(text: str, chart: str) -> str:
    return re.sub(rf"(?<![\w.]){re.escape(chart)}\.(\w+\.(?:X|T|late)\b)", r"\1", text)
