"""What a program does, one statement after the other.

Source: IEC 61131-3, statements of the ST language. Loops are not among them: what is exported needs none, and a text without
loops ends.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.errors import Place
from seqcheck.plc.value import NOWHERE, Reference, Value


@dataclass(frozen=True, slots=True)
class Assignment:
    """`target := value;`."""

    target: Reference
    value: Value
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Argument:
    """A named argument of a call: `name := value`, or `name => variable` for an output."""

    name: str
    value: Value
    is_output: bool = False
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Call:
    """A call of a function block."""

    instance: str
    arguments: tuple[Argument, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Branch:
    """What is done when `condition` is the first of an IF that holds."""

    condition: Value
    body: tuple[Statement, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class If:
    """IF, ELSIF..., ELSE."""

    branches: tuple[Branch, ...]
    otherwise: tuple[Statement, ...] = ()
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseBranch:
    """What is done when the selector is one of `labels`. `comment` stands beside the labels."""

    labels: tuple[Value, ...]
    body: tuple[Statement, ...]
    comment: str = field(default="", compare=False)
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """CASE. `otherwise` is what stands after ELSE."""

    selector: Value
    branches: tuple[CaseBranch, ...]
    otherwise: tuple[Statement, ...] = ()
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Return:
    """RETURN: the rest of the body is left out in this call."""

    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Remark:
    """A comment on a line of its own, for people. Parsing a text does not keep it."""

    text: str


Statement = Assignment | Call | If | Case | Return | Remark


def without_remarks(body: tuple[Statement, ...]) -> tuple[Statement, ...]:
    """The statements of `body` as a text that was read has them."""
    return tuple(_without_remarks(part) for part in body if not isinstance(part, Remark))


def _without_remarks(part: Statement) -> Statement:
    match part:
        case If(branches, otherwise, place):
            kept = tuple(Branch(arm.condition, without_remarks(arm.body), arm.place) for arm in branches)
            return If(kept, without_remarks(otherwise), place)
        case Case():
            return Case(
                selector=part.selector,
                branches=tuple(_branch_without_remarks(arm) for arm in part.branches),
                otherwise=without_remarks(part.otherwise),
                place=part.place,
            )
        case _:
            return part


def _branch_without_remarks(arm: CaseBranch) -> CaseBranch:
    return CaseBranch(
        labels=arm.labels, body=without_remarks(arm.body), comment=arm.comment, place=arm.place
    )
