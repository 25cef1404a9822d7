"""The section `copies`: parameters, and what each stands for in each copy.

    copies:
      spindle: [a, b]                                              # <spindle>, and <other spindle> where there are two
      lift: {left: {travel: 3..4 s}, right: {travel: 4..5 s}}      # also <lift travel>
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from seqcheck.errors import Place
from seqcheck.language.document import ListNode, MapNode, Node, Scalar
from seqcheck.reader.limits import MOST_COPIES, MOST_PARAMETERS
from seqcheck.reader.plain_value import check_count, kind_of, read_map, read_name, read_text
from seqcheck.reader.problem_log import ProblemLog

COPIES_KEY = "copies"
OTHER = "other"
"""`<other spindle>`: the copy that is not this one."""

VALUE_PATTERN = r"[A-Za-z0-9_]+"
_VALUE = re.compile(VALUE_PATTERN)
_EXPECTED = "a list of copies such as [a, b], or a map from each copy to its own values"


@dataclass(frozen=True, slots=True, kw_only=True)
class Copied:
    """One copy: what stands for the parameter, and its own values by name."""

    value: str
    details: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyParameter:
    """A name that stands in `<...>` for each copy in turn."""

    name: str
    place: Place
    copies: tuple[Copied, ...]

    def spellings(self) -> tuple[str, ...]:
        """What may stand between `<` and `>`."""
        details = [f"{self.name} {detail}" for detail in self.copies[0].details]
        return (self.name, *([f"{OTHER} {self.name}"] if len(self.copies) == 2 else []), *details)

    def text(self, spelling: str, number: int) -> str:
        """What a spelling is in the copy of that number."""
        copied = self.copies[number]
        if spelling == self.name:
            return copied.value
        if spelling == f"{OTHER} {self.name}":
            return self.copies[1 - number].value
        return copied.details[spelling.removeprefix(f"{self.name} ")]


def read_copies(node: Node | None, log: ProblemLog) -> tuple[CopyParameter, ...]:
    """Return the parameters that are clear, in the order of the file."""
    section = None if node is None else read_map(node, "a map of parameters, e.g. {spindle: [a, b]}", log)
    if section is None:
        return ()
    check_count(section.place, len(section.entries), MOST_PARAMETERS, "parameters", log)
    found = [_parameter(key, value, log) for key, value in section.entries[:MOST_PARAMETERS]]
    return tuple(parameter for parameter in found if parameter is not None)


def _parameter(key: Scalar, node: Node, log: ProblemLog) -> CopyParameter | None:
    name = read_name(key, "the name of a parameter", log)
    if name == OTHER:
        log.note(key.place, f"the name of a parameter that is not {OTHER!r}", repr(name))
        return None
    copies = _copies(node, log)
    if name is None or copies is None:
        return None
    if not check_count(node.place, len(copies), MOST_COPIES, "copies", log):
        return None
    if len({copied.value for copied in copies}) < max(2, len(copies)):
        log.note(node.place, "two or more copies, each once", ", ".join(copied.value for copied in copies) or "none")
        return None
    return CopyParameter(name=name, place=key.place, copies=copies)


def _copies(node: Node, log: ProblemLog) -> tuple[Copied, ...] | None:
    if isinstance(node, ListNode):
        pairs: list[tuple[Node, dict[str, str] | None]] = [(item, {}) for item in node.items]
    elif isinstance(node, MapNode):
        pairs = [(key, _details(value, log)) for key, value in node.entries]
        _check_details(node, [details for _, details in pairs if details is not None], log)
    else:
        log.note(node.place, _EXPECTED, kind_of(node))
        return None
    values = [_value(item, log) for item, _ in pairs]
    made = [
        Copied(value=value, details=details)
        for value, (_, details) in zip(values, pairs, strict=True)
        if value is not None and details is not None
    ]
    return tuple(made) if len(made) == len(pairs) else None


def _value(node: Node, log: ProblemLog) -> str | None:
    text = read_text(node, "what stands for the parameter", log)
    if text is not None and _VALUE.fullmatch(text) is None:
        log.note(node.place, "letters, digits and underscores", repr(text))
        return None
    return text


def _details(node: Node, log: ProblemLog) -> dict[str, str] | None:
    owner = read_map(node, "a map of this copy's own values, e.g. {travel: 3..4 s}", log)
    if owner is None:
        return None
    read = {read_name(key, "the name of a value", log): read_text(value, "a value", log) for key, value in owner.entries}
    details = {name: text for name, text in read.items() if name is not None and text is not None}
    return details if len(details) == len(read) else None


def _check_details(node: MapNode, details: list[dict[str, str]], log: ProblemLog) -> None:
    """Every copy must have the same values, else a text that names one would be clear in some copies only."""
    names = {name for part in details for name in part}
    for (key, _), part in zip(node.entries, details, strict=False):
        missing = sorted(names - set(part))
        if missing:
            log.note(key.place, f"{missing[0]!r} in {key.text}, as in another copy", "nothing")
