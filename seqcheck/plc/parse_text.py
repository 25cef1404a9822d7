"""Structured Text as people and `seqcheck export` write it, read into a `Program`; every part keeps its place.

The grammar (`structured_text.lark`) accepts a subset. What stands outside it is a problem with its line and column: nothing is
skipped. Comments are kept where they say something of a declaration, a unit or a branch of a CASE.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, cast

from seqcheck.errors import Place, Problem, SequenceFileError
from seqcheck.plc.parse_comment import Comments
from seqcheck.plc.parse_statement import StatementReading
from seqcheck.plc.program import Enumeration, Program, Section, SectionKeyword, Unit, UnitKeyword, Variable

if TYPE_CHECKING:
    from lark import Lark, Token, Tree, UnexpectedInput

LONGEST_TEXT = 4_000_000
"""Characters. The largest export of a bundled sequence has some ten thousands."""

DEEPEST_TEXT = 120
"""Levels of statements, operators and parentheses. The tree is walked by recursion, which must end."""

_WORDS_BY_TERMINAL = {
    "NAME": "a name",
    "SEMICOLON": "';'",
    "COLON": "':'",
    "COMMA": "','",
    "LPAR": "'('",
    "RPAR": "')'",
    "_ASSIGN": "':='",
    "_THEN": "THEN",
    "_OF": "OF",
    "_END_IF": "END_IF",
    "_END_CASE": "END_CASE",
    "_END_VAR": "END_VAR",
    "_END_FUNCTION_BLOCK": "END_FUNCTION_BLOCK",
    "_END_PROGRAM": "END_PROGRAM",
    "_FUNCTION_BLOCK": "FUNCTION_BLOCK",
    "_PROGRAM": "PROGRAM",
    "TIME": "a TIME literal",
}


def parse_text(text: str, file: str) -> Program:
    """The program in `text`, which stands in the file called `file`.

    Raises SequenceFileError with the first problem: what the grammar does not know, or a bound exceeded.
    """
    if len(text) > LONGEST_TEXT:
        raise _failure(Place(file, 1, 1), f"a text of at most {LONGEST_TEXT} characters", str(len(text)))
    tree = _tree(text, file)
    _refuse_deep(tree, file)
    return _UnitReading(file, Comments(text)).program(tree)


class _UnitReading:
    """Makes units of lark's tree."""

    def __init__(self, file: str, comments: Comments) -> None:
        self._file = file
        self._comments = comments
        self._statements = StatementReading(file, comments)

    def program(self, tree: Tree[Token]) -> Program:
        parts = _children(tree)
        return Program(
            header=self._comments.header(),
            enumerations=tuple(
                self._enumeration(part)
                for kind in parts
                if kind.data == "type_part"
                for part in _children(kind)
            ),
            units=tuple(self._unit(part) for part in parts if part.data != "type_part"),
        )

    def _enumeration(self, tree: Tree[Token]) -> Enumeration:
        names = [child for child in tree.children if isinstance(child, str)]
        if len(names) < len(tree.children):
            initial = _children(tree)[-1]
            place = Place(self._file, initial.meta.line, initial.meta.column)
            raise _failure(place, "an enumeration without an initial value of its own", "one with it")
        values = tuple(str(name) for name in names[1:])
        return Enumeration(name=str(names[0]), values=values, place=self._place(tree))

    def _unit(self, tree: Tree[Token]) -> Unit:
        name, *rest = tree.children
        parts = [cast("Tree[Token]", part) for part in rest]
        return Unit(
            keyword=cast(UnitKeyword, str(tree.data).upper()),
            name=str(name),
            sections=tuple(self._section(part) for part in parts[:-1]),
            body=self._statements.body(parts[-1]),
            comment=self._comments.above(tree.meta.line),
            place=self._place(tree),
        )

    def _section(self, tree: Tree[Token]) -> Section:
        words = [str(child).upper() for child in tree.children if isinstance(child, str)]
        return Section(
            keyword=cast(SectionKeyword, words[0]),
            variables=tuple(found for part in _children(tree) for found in self._variables(part)),
            is_constant="CONSTANT" in words,
            comment=self._comments.above(tree.meta.line),
        )

    def _variables(self, tree: Tree[Token]) -> list[Variable]:
        type_name = next(str(child) for child in tree.children if isinstance(child, str))
        trees = _children(tree)
        declared = [part for part in trees if part.data == "declared"]
        initial = self._statements.value(trees[-1]) if len(trees) > len(declared) else None
        comment = self._comments.after(tree.meta.end_line, tree.meta.end_column)
        return [
            Variable(
                name=str(part.children[0]),
                type_name=type_name,
                initial=initial,
                comment=" at ".join(part for part in (comment, *map(str, part.children[1:])) if part),
                place=self._place(part),
            )
            for part in declared
        ]

    def _place(self, tree: Tree[Token]) -> Place:
        return Place(self._file, tree.meta.line, tree.meta.column)


def _children(tree: Tree[Token]) -> list[Tree[Token]]:
    return [child for child in tree.children if not isinstance(child, str)]


def _failure(place: Place, expected: str, found: str) -> SequenceFileError:
    return SequenceFileError([Problem(place=place, expected=expected, found=found)])


def _refuse_deep(tree: Tree[Token], file: str) -> None:
    """Count levels without recursion."""
    waiting = [(tree, 1)]
    while waiting:
        part, depth = waiting.pop()
        if depth > DEEPEST_TEXT:
            place = Place(file, part.meta.line, part.meta.column)
            raise _failure(place, f"at most {DEEPEST_TEXT} levels of statements and operators", "more")
        waiting.extend((child, depth + 1) for child in _children(part))


@lru_cache(maxsize=1)
def _parser() -> Lark:
    from lark import Lark

    grammar = files("seqcheck.plc").joinpath("structured_text.lark").read_text(encoding="utf-8")
    return Lark(grammar, parser="lalr", lexer="basic", propagate_positions=True, maybe_placeholders=False)


def _tree(text: str, file: str) -> Tree[Token]:
    from lark import UnexpectedInput

    try:
        return _parser().parse(text)
    except UnexpectedInput as error:
        place, expected, found = _unexpected(text, file, error)
    raise _failure(place, expected, found)


def _unexpected(text: str, file: str, error: UnexpectedInput) -> tuple[Place, str, str]:
    token = getattr(error, "token", None)
    if token is not None and token.type == "$END":
        lines = text.rstrip().split("\n")
        place, found = Place(file, len(lines), len(lines[-1]) + 1), "the end of the text"
    else:
        found = repr(str(token)[:60] if token is not None else text[error.pos_in_stream or 0])
        place = Place(file, error.line, error.column)
    accepted: set[str] = getattr(error, "accepts", None) or set()
    known = [words for terminal, words in _WORDS_BY_TERMINAL.items() if terminal in accepted]
    return place, " or ".join(known[:6]) or "Structured Text of the known subset", found
