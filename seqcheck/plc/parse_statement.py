"""Statements and values of a controller text, made of lark's tree."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from seqcheck.errors import Place, Problem, SequenceFileError
from seqcheck.plc.parse_comment import Comments
from seqcheck.plc.statement import (
    Argument,
    Assignment,
    Branch,
    Call,
    Case,
    CaseBranch,
    If,
    Return,
    Statement,
)
from seqcheck.plc.value import (
    Chain,
    ChainOperator,
    Comparison,
    ComparisonSign,
    Duration,
    Enumerator,
    Negation,
    Reference,
    Truth,
    Value,
    Whole,
)
from seqcheck.quantities.time import parse_time_literal

if TYPE_CHECKING:
    from lark import Token, Tree


class StatementReading:
    """Makes statements of the trees of one file."""

    def __init__(self, file: str, comments: Comments) -> None:
        """Places are in `file`."""
        self._file = file
        self._comments = comments

    def body(self, tree: Tree[Token]) -> tuple[Statement, ...]:
        """The statements in a list; empty ones are left out."""
        return tuple(self._statement(part) for part in _trees(tree) if part.data != "empty")

    def value(self, tree: Tree[Token]) -> Value:
        """A value."""
        place, parts = self._place(tree), tree.children
        match tree.data:
            case "truth":
                return Truth(str(parts[0]).upper() == "TRUE", place)
            case "integer":
                return self._whole(str(parts[0]), place)
            case "time":
                return self._duration(str(parts[0]), place)
            case "enumerator":
                type_name, _, name = str(parts[0]).partition("#")
                return Enumerator(type_name=type_name, name=name, place=place)
            case "reference" | "named_label":
                return Reference(tuple(str(part) for part in parts), place)
            case "negation":
                return Negation(self.value(_tree(parts[1])), place)
            case "compared":
                sign = cast(ComparisonSign, str(parts[1]))
                left, right = self.value(_tree(parts[0])), self.value(_tree(parts[2]))
                return Comparison(left=left, sign=sign, right=right, place=place)
        operator = cast(ChainOperator, str(tree.data).removesuffix("_chain").upper())
        return Chain(operator, tuple(self.value(part) for part in _trees(tree)), place)

    def _statement(self, tree: Tree[Token]) -> Statement:
        place, parts = self._place(tree), tree.children
        match tree.data:
            case "assignment":
                target = cast(Reference, self.value(_tree(parts[0])))
                return Assignment(target, self.value(_tree(parts[1])), place)
            case "call":
                arguments = tuple(self._argument(part) for part in _trees(tree))
                return Call(str(parts[0]), arguments, place)
            case "if_statement":
                return self._if(tree)
            case "case_statement":
                return self._case(tree)
        return Return(place)

    def _argument(self, tree: Tree[Token]) -> Argument:
        name, value = tree.children
        return Argument(
            name=str(name),
            value=self.value(_tree(value)),
            is_output=tree.data == "output",
            place=self._place(tree),
        )

    def _if(self, tree: Tree[Token]) -> If:
        condition, body, *rest = _trees(tree)
        first = Branch(self.value(condition), self.body(body), self._place(condition))
        others = tuple(self._elsif(part) for part in rest if part.data == "elsif")
        return If((first, *others), self._otherwise(rest), self._place(tree))

    def _elsif(self, tree: Tree[Token]) -> Branch:
        condition, body = _trees(tree)
        return Branch(self.value(condition), self.body(body), self._place(condition))

    def _otherwise(self, parts: list[Tree[Token]]) -> tuple[Statement, ...]:
        return self.body(_trees(parts[-1])[0]) if parts and parts[-1].data == "else_part" else ()

    def _case(self, tree: Tree[Token]) -> Case:
        selector, *rest = _trees(tree)
        items = [part for part in rest if part.data != "else_part"]
        groups: list[tuple[Tree[Token], list[Statement]]] = []
        for item in items:
            if item.data == "case_labels":
                groups.append((item, []))
            elif not groups:
                raise self._failure(self._place(item), "a value and ':' first in a CASE", "a statement")
            elif _trees(item)[0].data != "empty":
                groups[-1][1].append(self._statement(_trees(item)[0]))
        return Case(
            selector=self.value(selector),
            branches=tuple(self._case_branch(labels, tuple(body)) for labels, body in groups),
            otherwise=self._otherwise(rest),
            place=self._place(tree),
        )

    def _case_branch(self, labels: Tree[Token], body: tuple[Statement, ...]) -> CaseBranch:
        return CaseBranch(
            labels=tuple(self.value(label) for label in _trees(labels)),
            body=body,
            comment=self._comments.after(labels.meta.end_line, labels.meta.end_column),
            place=self._place(labels),
        )

    def _duration(self, text: str, place: Place) -> Duration:
        try:
            us = parse_time_literal(text)
        except ValueError as error:
            raise SequenceFileError([Problem.of(place, error)]) from None
        if us < 0:
            raise self._failure(place, "a time of zero or more", repr(text))
        return Duration(us, place)

    def _whole(self, text: str, place: Place) -> Whole:
        if len(text) > 9:
            raise self._failure(place, "a whole number of at most 9 digits", f"{len(text)} characters")
        return Whole(int(text), place)

    @staticmethod
    def _failure(place: Place, expected: str, found: str) -> SequenceFileError:
        return SequenceFileError([Problem(place=place, expected=expected, found=found)])

    def _place(self, tree: Tree[Token]) -> Place:
        return Place(self._file, tree.meta.line, tree.meta.column)


def _tree(part: Tree[Token] | Token) -> Tree[Token]:
    return cast("Tree[Token]", part)  # by the grammar, never a token where this is used


def _trees(tree: Tree[Token]) -> list[Tree[Token]]:
    return [child for child in tree.children if not isinstance(child, str)]
