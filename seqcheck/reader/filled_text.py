"""One text with its parameters filled in: `chuck_<spindle>_closed`, and `EVERY <spindle> (...)` in a condition."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from seqcheck.language.document import Scalar
from seqcheck.language.origin import Origin, Piece
from seqcheck.reader.copy_parameter import CopyParameter
from seqcheck.reader.problem_log import ProblemLog

_PLACEHOLDER = re.compile(r"<([A-Za-z][A-Za-z0-9_]*(?: [A-Za-z][A-Za-z0-9_]*)?)>")
_OVER_ALL = re.compile(r"\b(EVERY|ANY) <([A-Za-z][A-Za-z0-9_]*)> *\(")
_JOINT = {"EVERY": " AND ", "ANY": " OR "}
_TOKEN = re.compile(r"(?:[A-Za-z0-9_]|<[A-Za-z][A-Za-z0-9_]*(?: [A-Za-z][A-Za-z0-9_]*)?>)+")
PLACEHOLDER_PATTERN = r"<[A-Za-z][A-Za-z0-9_]*( [A-Za-z][A-Za-z0-9_]*)?>"
"""What stands for a value of the copy, in an editor's schema."""

Bound = dict[str, int]
"""Which copy each parameter stands for here, by number."""


@dataclass(slots=True)
class Filling:
    """The parameters of a file, and the names made with them so far. Mutable: `names` grows while a file is filled in."""

    parameters: dict[str, CopyParameter]
    log: ProblemLog
    names: dict[str, dict[tuple[str, ...], None]] = field(default_factory=dict)

    def unbound(self, text: str, bound: Bound) -> tuple[str, ...]:
        """The parameters in `text` that stand for no copy yet, those of EVERY and ANY left out."""
        own = {match[2] for match in _OVER_ALL.finditer(text)}
        found = [self._owner(match[1]) for match in _PLACEHOLDER.finditer(text)]
        return tuple(dict.fromkeys(name for name in found if name and name not in bound and name not in own))

    def _owner(self, spelling: str) -> str | None:
        return next((name for name in spelling.split() if name in self.parameters), None)

    def filled(self, node: Scalar, bound: Bound) -> Scalar:
        """The scalar with every parameter filled in; notes a parameter that there is not, or that stands for no copy."""
        copy = self.copy_of(bound)
        place = replace(node.place, copy=copy)
        if "<" not in node.text:
            return replace(node, place=place)
        pieces = list(self._pieces(node, node.text, 0, bound))
        for token in _TOKEN.finditer(node.text):
            self._keep_names(token[0], bound)
        text = "".join(text for text, _, _ in pieces)
        return replace(node, place=place, text=text, origin=_origin(pieces))

    def copy_of(self, bound: Bound) -> str:
        """The copy in words: `spindle a`."""
        return ", ".join(f"{name} {self.parameters[name].copies[number].value}" for name, number in bound.items())

    def _pieces(self, node: Scalar, text: str, at: int, bound: Bound) -> Iterator[tuple[str, int, bool]]:
        """The text in pieces: what it is, where it is written, and whether it is as written."""
        over = next((match for match in _OVER_ALL.finditer(text) if match[2] in self.parameters), None)
        end = None if over is None else _closing(text, over.end())
        if over is None or end is None:
            yield from self._plain_pieces(node, text, at, bound)
            return
        yield from self._plain_pieces(node, text[: over.start()], at, bound)
        inner = text[over.end() : end]
        yield "(", at + over.start(), False
        for number in range(len(self.parameters[over[2]].copies)):
            yield (_JOINT[over[1]] if number else "") + "(", at + over.end(), False
            yield from self._pieces(node, inner, at + over.end(), bound | {over[2]: number})
            yield ")", at + end, False
            for token in _TOKEN.finditer(inner):
                self._keep_names(token[0], bound | {over[2]: number})
        yield ")", at + end, False
        yield from self._pieces(node, text[end + 1 :], at + end + 1, bound)

    def _plain_pieces(self, node: Scalar, text: str, at: int, bound: Bound) -> Iterator[tuple[str, int, bool]]:
        before = 0
        for match in _PLACEHOLDER.finditer(text):
            yield text[before : match.start()], at + before, True
            yield self._value(node, match[1], at + match.start(), bound), at + match.start(), False
            before = match.end()
        yield text[before:], at + before, True

    def _value(self, node: Scalar, spelling: str, at: int, bound: Bound) -> str:
        owner = self._owner(spelling)
        place = node.text_place.after(at)
        known = [text for part in self.parameters.values() for text in part.spellings()]
        if owner is None or spelling not in self.parameters[owner].spellings():
            self.log.unknown(place, "a parameter of copies", spelling, known)
        elif owner not in bound:
            expected = f"<{owner}> in the name before ':' or in an item of a list, which then stands once for each copy"
            self.log.note(place, expected, f"'<{spelling}>'")
        else:
            return self.parameters[owner].text(spelling, bound[owner])
        return "unknown"

    def _keep_names(self, token: str, bound: Bound) -> None:
        """Keep what `token` is called in each copy of each of its parameters."""
        for name in {self._owner(match[1]) for match in _PLACEHOLDER.finditer(token)}:
            if name is not None and name in bound:
                count = len(self.parameters[name].copies)
                called = tuple(self._named(token, bound | {name: number}) for number in range(count))
                self.names.setdefault(name, {})[called] = None

    def _named(self, token: str, bound: Bound) -> str:
        def value(match: re.Match[str]) -> str:
            owner = self._owner(match[1])
            known = owner is not None and owner in bound and match[1] in self.parameters[owner].spellings()
            return self.parameters[owner].text(match[1], bound[owner]) if known and owner else match[0]

        return _PLACEHOLDER.sub(value, token)


def _closing(text: str, start: int) -> int | None:
    """The bracket that closes the one before `start`."""
    depth = 1
    for offset in range(start, len(text)):
        depth += {"(": 1, ")": -1}.get(text[offset], 0)
        if depth == 0:
            return offset
    return None


def _origin(pieces: list[tuple[str, int, bool]]) -> Origin:
    made: list[Piece] = []
    start = 0
    for text, written, moves in pieces:
        if text:
            made.append(Piece(start=start, written=written, moves=moves))
        start += len(text)
    return Origin(tuple(made))
