"""Conditions of a file: Structured Text to an expression whose names are not yet looked up (see `scope`)."""

from __future__ import annotations

from seqcheck.errors import SequenceFileError
from seqcheck.language.document import Node, Scalar
from seqcheck.language.expression import Expression, parse_expression
from seqcheck.reader.plain_value import read_items, read_text
from seqcheck.reader.problem_log import ProblemLog

LONGEST_CONDITION = 5_000
"""Characters of one condition. A person reads at most a few hundred."""


def read_condition(node: Node, log: ProblemLog) -> Expression | None:
    """Return the expression, or None after noting every problem in it."""
    text = read_text(node, "a condition such as 'hood_closed AND NOT estop_ok'", log, LONGEST_CONDITION)
    if text is None:
        return None
    assert isinstance(node, Scalar), "read_text takes nothing else"
    try:
        return parse_expression(node.text, node.text_place, node.origin)
    except SequenceFileError as error:
        log.add(error.problems)
        return None


def read_conditions(node: Node, log: ProblemLog) -> tuple[Expression, ...] | None:
    """Return the expressions of a list, or of one condition; None if one of them is wrong."""
    read = [read_condition(item, log) for item in read_items(node, "a condition or a list of them", log)]
    conditions = tuple(condition for condition in read if condition is not None)
    return conditions if conditions and len(conditions) == len(read) else None
