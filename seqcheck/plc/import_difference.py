"""Where two texts part: the first thing of one that the other does not have there."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

from seqcheck.errors import Place
from seqcheck.plc.print_text import body_lines, value_text
from seqcheck.plc.program import Program, Unit, Variable
from seqcheck.plc.statement import Case, If, Remark, Statement, without_remarks
from seqcheck.plc.types_of_text import failure


def refuse_difference(text: Program, understood: Program, file: str) -> None:
    """Raise SequenceFileError with the first place at which `text` is not what was understood of it."""
    for place, expected, found in _differences(text, understood, file):
        raise failure(place, expected, found)


def _differences(text: Program, understood: Program, file: str) -> Iterator[tuple[Place, str, str]]:
    for here, there in zip_longest(text.enumerations, understood.enumerations):
        if here != there:
            yield here.place if here else Place(file, 1, 1), f"the steps {there and there.values}", f"{here and here.values}"
    for unit, other in zip_longest(text.units, understood.units):
        if unit is None or other is None:
            yield unit.place if unit else Place(file, 1, 1), "one function block for each chart", "another number"
        else:
            yield from _of_unit(unit, other)


def _of_unit(unit: Unit, other: Unit) -> Iterator[tuple[Place, str, str]]:
    if (unit.name, unit.keyword) != (other.name, other.keyword):
        yield unit.place, f"{other.keyword} {other.name}", f"{unit.keyword} {unit.name}"
    for here, there in zip_longest(unit.variables(), other.variables()):
        if here != there:
            yield here.place if here else unit.place, _declared(there), _declared(here)
    if unit.sections != other.sections:
        yield unit.place, "variables in the sections that an export has", "others"
    yield from _of_body(without_remarks(unit.body), without_remarks(other.body), unit.place)


def _declared(part: Variable | None) -> str:
    if part is None:
        return "no more variables"
    initial = "" if part.initial is None else f" := {value_text(part.initial)}"
    return f"'{part.name} : {part.type_name}{initial}'"


def _of_body(
    here: tuple[Statement, ...], there: tuple[Statement, ...], around: Place
) -> Iterator[tuple[Place, str, str]]:
    for part, other in zip_longest(here, there):
        if part == other:
            continue
        place = around if part is None or isinstance(part, Remark) else part.place
        match part, other:
            case If(), If() if len(part.branches) == len(other.branches):
                for mine, its in zip(part.branches, other.branches, strict=True):
                    if mine.condition != its.condition:
                        yield mine.place, f"'{value_text(its.condition)}'", f"'{value_text(mine.condition)}'"
                    yield from _of_body(mine.body, its.body, mine.place)
                yield from _of_body(part.otherwise, other.otherwise, place)
            case Case(), Case() if [arm.labels for arm in part.branches] == [arm.labels for arm in other.branches]:
                for arm, its_arm in zip(part.branches, other.branches, strict=True):
                    yield from _of_body(arm.body, its_arm.body, arm.place)
        yield place, _written(other), _written(part)


def _written(part: Statement | None) -> str:
    return "nothing more" if part is None else repr(" ".join(body_lines((part,), 0))[:100])
