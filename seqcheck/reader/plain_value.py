"""Plain values of a file: a text, a name, a number with its unit, yes or no, a list, a map.

Each function returns None after it has noted a problem.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import TypeVar

from seqcheck.errors import Place, Problem
from seqcheck.language.document import ListNode, MapNode, Node, Scalar
from seqcheck.reader.limits import LONGEST_NAME, LONGEST_TEXT
from seqcheck.reader.problem_log import ProblemLog

Value = TypeVar("Value")

NAME_PATTERN = r"[A-Za-z][A-Za-z0-9_]*"
"""A name as IEC 61131-3 allows it (clause 6.1.2, from memory), without a leading underscore."""

_NAME = re.compile(NAME_PATTERN)
RESERVED_WORDS = frozenset(
    ("and", "or", "xor", "not", "true", "false", "ton", "tof", "tp", "rising", "falling")
)
"""Words that mean something in a condition, in lower case; no name may be one of them."""


def kind_of(node: Node) -> str:
    """Say what stands in the file, for the `found` of a problem."""
    if isinstance(node, Scalar):
        return "nothing" if node.is_null else f"the text {node.text!r}"
    return "a list" if isinstance(node, ListNode) else "a map"


def read_text(node: Node, expected: str, log: ProblemLog, longest: int = LONGEST_TEXT) -> str | None:
    """Return the text of a scalar that is not empty."""
    if not isinstance(node, Scalar) or node.is_null or not node.text.strip():
        log.note(node.place, expected, kind_of(node))
        return None
    if len(node.text) > longest:
        log.note(node.place, f"at most {longest} characters", str(len(node.text)))
        return None
    return node.text.strip()


def read_name(node: Node, expected: str, log: ProblemLog) -> str | None:
    """Return a new name: letters, digits and underscores, no word of the condition language."""
    text = read_text(node, expected, log)
    if text is None:
        return None
    if len(text) > LONGEST_NAME:
        log.note(node.place, f"a name of at most {LONGEST_NAME} characters", str(len(text)))
        return None
    if _NAME.fullmatch(text) is None:
        log.note(node.place, f"{expected} (letters, digits and underscores, a letter first)", repr(text))
        return None
    if text.lower() in RESERVED_WORDS:
        log.note(node.place, f"{expected} that is no word of conditions", repr(text))
        return None
    return text


def read_map(node: Node, expected: str, log: ProblemLog) -> MapNode | None:
    """Return the node if it is a map."""
    if isinstance(node, MapNode):
        return node
    log.note(node.place, expected, kind_of(node))
    return None


def read_items(node: Node, expected: str, log: ProblemLog) -> tuple[Node, ...]:
    """Return the items of a list; a single value counts as a list of one."""
    if isinstance(node, ListNode):
        return node.items
    if isinstance(node, MapNode) or not node.is_null:
        return (node,)
    log.note(node.place, expected, "nothing")
    return ()


def read_names(node: Node, expected: str, log: ProblemLog) -> tuple[Scalar, ...]:
    """Return the names of a list, of a text with commas, or of one name; each with its own place."""
    names: list[Scalar] = []
    for item in read_items(node, expected, log):
        if read_text(item, expected, log) is not None and isinstance(item, Scalar):
            names += split_names(item)
    return tuple(names)


def split_names(node: Scalar) -> tuple[Scalar, ...]:
    """Return the parts between commas as scalars with their places."""
    parts = re.finditer(r"[^,\s](?:[^,]*[^,\s])?", node.text)
    return tuple(node.part(match.start(), match[0]) for match in parts)


def read_parsed(node: Node, expected: str, parse: Callable[[str], Value], log: ProblemLog) -> Value | None:
    """Return what `parse` makes of the text; its ValueError `expected ..., found ...` becomes a problem."""
    text = read_text(node, expected, log)
    if text is None:
        return None
    try:
        return parse(text)
    except ValueError as error:
        log.add([Problem.of(node.place, error)])
        return None


def read_word(node: Node, expected: str, words: Iterable[str], log: ProblemLog) -> str | None:
    """Return the text if it is one of `words`."""
    text = read_text(node, expected, log)
    known = tuple(words)
    if text is None or text in known:
        return text
    log.unknown(node.place, f"{expected} ({', '.join(known)})", text, known)
    return None


def read_truth(node: Node, expected: str, log: ProblemLog) -> bool | None:
    """Return the truth value of `true` or `false`."""
    word = read_word(node, expected, ("true", "false"), log)
    return None if word is None else word == "true"


def check_keys(owner: MapNode, known: Iterable[str], what: str, log: ProblemLog) -> None:
    """Note every name in `owner` that is not `known`; `what` it should be, e.g. `a field of scan`."""
    allowed = tuple(known)
    for key, _ in owner.entries:
        if key.text not in allowed:
            log.unknown(key.place, what, key.text, allowed)


def check_count(place: Place, count: int, most: int, what: str, log: ProblemLog) -> bool:
    """Note if there are more than `most`; return whether the bound is kept."""
    if count > most:
        log.note(place, f"at most {most} {what}", str(count))
    return count <= most
