"""A program as text: the Structured Text of IEC 61131-3, two blanks a level, one statement a line.

Comments are `(* ... *)`, which every edition has.
"""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.plc.program import Enumeration, Program, Section, Unit, Variable
from seqcheck.plc.statement import (
    Argument,
    Assignment,
    Call,
    Case,
    CaseBranch,
    If,
    Remark,
    Return,
    Statement,
)
from seqcheck.plc.value import (
    Chain,
    Comparison,
    Duration,
    Enumerator,
    Negation,
    Reference,
    Truth,
    Value,
    Whole,
)
from seqcheck.quantities.time import format_time_literal

WIDEST_LINE = 118
"""Columns. A longer call or condition is broken before its arguments or operators; a single long word stays."""

_INDENT = "  "
_STRENGTHS = {"OR": 0, "XOR": 1, "AND": 2}
_COMPARED, _NEGATED, _SINGLE = 3, 4, 5


def program_text(program: Program) -> str:
    """The whole text, ending with a line feed."""
    parts = [_header(program.header)] if program.header else []
    parts += [_enumeration(part) for part in program.enumerations]
    parts += [unit_text(unit) for unit in program.units]
    return "\n\n".join(parts) + "\n"


def unit_text(unit: Unit) -> str:
    """One function block or program."""
    lines = [_comment(unit.comment)] if unit.comment else []
    lines.append(f"{unit.keyword} {unit.name}")
    for section in unit.sections:
        lines += _section(section)
    lines += ["", *body_lines(unit.body, 0), f"END_{unit.keyword}"]
    return "\n".join(lines)


def body_lines(body: tuple[Statement, ...], level: int) -> list[str]:
    """The statements, indented by `level`."""
    return [line for part in body for line in _statement(part, level)]


def value_text(value: Value) -> str:
    """A value on one line, with no more parentheses than reading it back needs, but for comparisons in chains."""
    match value:
        case Truth(truth):
            return "TRUE" if truth else "FALSE"
        case Whole(number):
            return str(number)
        case Duration(us):
            return format_time_literal(us)
        case Enumerator():
            return f"{value.type_name}#{value.name}"
        case Reference():
            return value.text
        case Negation(operand):
            return f"NOT {_inner(operand, _NEGATED)}"
        case Comparison():
            return f"{_inner(value.left, _COMPARED)} {value.sign} {_inner(value.right, _COMPARED + 1)}"
        case Chain(operator, operands):
            return f" {operator} ".join(_operand(part, operator) for part in operands)


def _operand(part: Value, operator: str) -> str:
    """An operand of a chain; a comparison in parentheses, as people write it."""
    return f"({value_text(part)})" if isinstance(part, Comparison) else _inner(part, _STRENGTHS[operator] + 1)


def _inner(value: Value, weakest: int) -> str:
    text = value_text(value)
    return text if _strength(value) >= weakest else f"({text})"


def _strength(value: Value) -> int:
    match value:
        case Chain(operator):
            return _STRENGTHS[operator]
        case Comparison():
            return _COMPARED
        case Negation():
            return _NEGATED
        case _:
            return _SINGLE


def _header(lines: tuple[str, ...]) -> str:
    return "\n".join(["(*", *(f"{_INDENT}{_harmless(line)}".rstrip() for line in lines), "*)"])


def _comment(text: str) -> str:
    return f"(* {_harmless(text)} *)"


def _harmless(text: str) -> str:
    """A text that cannot end its comment, nor open another in it, on one line."""
    return " ".join(text.replace("(*", "( *").replace("*)", "* )").split())


def _enumeration(part: Enumeration) -> str:
    values = ", ".join(part.values)
    line = f"{_INDENT}{part.name} : ({values});"
    if len(line) <= WIDEST_LINE:
        return f"TYPE\n{line}\nEND_TYPE"
    listed = ",\n".join(f"{_INDENT * 2}{name}" for name in part.values)
    return f"TYPE\n{_INDENT}{part.name} : (\n{listed}\n{_INDENT});\nEND_TYPE"


def _section(section: Section) -> list[str]:
    lines = [_comment(section.comment)] if section.comment else []
    constant = " CONSTANT" if section.is_constant else ""
    lines.append(section.keyword + constant)
    lines += [_declaration(part) for part in section.variables]
    return [*lines, "END_VAR"]


def _declaration(part: Variable) -> str:
    initial = "" if part.initial is None else f" := {value_text(part.initial)}"
    comment = f" {_comment(part.comment)}" if part.comment else ""
    return f"{_INDENT}{part.name} : {part.type_name}{initial};{comment}"


def _statement(part: Statement, level: int) -> list[str]:
    indent = _INDENT * level
    match part:
        case Assignment(target, value):
            return _broken(f"{indent}{target.text} := ", value, ";", level)
        case Call():
            return _call(part, level)
        case If():
            return list(_if(part, level))
        case Case():
            return list(_case(part, level))
        case Return():
            return [f"{indent}RETURN;"]
        case Remark(text):
            return [f"{indent}{_comment(text)}"]


def _broken(before: str, value: Value, after: str, level: int) -> list[str]:
    """A line with a value in it; a long chain has a line for each operand."""
    line = f"{before}{value_text(value)}{after}"
    if len(line) <= WIDEST_LINE or not isinstance(value, Chain):
        return [line]
    indent = _INDENT * (level + 2)
    texts = [_operand(part, value.operator) for part in value.operands]
    lines = [f"{indent}{value.operator} {text}" for text in texts[1:]]
    return [f"{before}{texts[0]}", *lines[:-1], lines[-1] + after]


def _call(part: Call, level: int) -> list[str]:
    indent = _INDENT * level
    arguments = [_argument(argument) for argument in part.arguments]
    line = f"{indent}{part.instance}({', '.join(arguments)});"
    if len(line) <= WIDEST_LINE or len(arguments) < 2:
        return [line]
    inner = ",\n".join(f"{indent}{_INDENT}{text}" for text in arguments).split("\n")
    return [f"{indent}{part.instance}(", *inner, f"{indent});"]


def _argument(argument: Argument) -> str:
    sign = "=>" if argument.is_output else ":="
    return f"{argument.name} {sign} {value_text(argument.value)}"


def _if(part: If, level: int) -> Iterator[str]:
    indent = _INDENT * level
    for number, branch in enumerate(part.branches):
        keyword = "ELSIF" if number else "IF"
        yield from _broken(f"{indent}{keyword} ", branch.condition, " THEN", level)
        yield from body_lines(branch.body, level + 1)
    if part.otherwise:
        yield f"{indent}ELSE"
        yield from body_lines(part.otherwise, level + 1)
    yield f"{indent}END_IF;"


def _case(part: Case, level: int) -> Iterator[str]:
    indent = _INDENT * level
    yield f"{indent}CASE {value_text(part.selector)} OF"
    for branch in part.branches:
        yield from _case_branch(branch, level + 1)
    if part.otherwise:
        yield f"{indent}ELSE"
        yield from body_lines(part.otherwise, level + 1)
    yield f"{indent}END_CASE;"


def _case_branch(branch: CaseBranch, level: int) -> Iterator[str]:
    labels = ", ".join(value_text(label) for label in branch.labels)
    comment = f" {_comment(branch.comment)}" if branch.comment else ""
    yield f"{_INDENT * level}{labels}:{comment}"
    # A list of statements may not be empty; the empty statement is one.
    yield from body_lines(branch.body, level + 1) or [f"{_INDENT * (level + 1)};"]
