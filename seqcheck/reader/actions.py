"""What a step does: outputs, flags and alarms, with the action qualifiers of IEC 61131-3.

do: [clamp_close, {knife_fire: P}, {fan: S}, {vacuum: L 300 ms}, {trim: "D T#200ms"}]
"""

from __future__ import annotations

from seqcheck.errors import Place, Problem
from seqcheck.language.document import MapNode, Node, Scalar
from seqcheck.language.sequence import Action
from seqcheck.quantities.time import parse_time, parse_time_literal
from seqcheck.reader.limits import MOST_ACTIONS
from seqcheck.reader.plain_value import check_count, read_items, read_text
from seqcheck.reader.problem_log import ProblemLog

PLAIN_QUALIFIERS = ("N", "S", "R", "P")
"""Qualifiers without a time. Source: IEC 61131-3, action qualifiers (from memory)."""

TIMED_QUALIFIERS = ("L", "D", "SD", "DS", "SL")
"""Qualifiers that need a time. Source: as above."""

_EXPECTED = "an output, flag or alarm, or {name: qualifier}"


def read_actions(node: Node | None, log: ProblemLog) -> tuple[Action, ...]:
    """Return the actions in the order of the file."""
    items = () if node is None else read_items(node, _EXPECTED, log)
    if node is not None:
        check_count(node.place, len(items), MOST_ACTIONS, "actions", log)
    return tuple(action for item in items[:MOST_ACTIONS] for action in _actions(item, log))


def _actions(node: Node, log: ProblemLog) -> tuple[Action, ...]:
    if isinstance(node, MapNode):
        read = [_qualified(key, value, log) for key, value in node.entries]
        return tuple(action for action in read if action is not None)
    name = read_text(node, _EXPECTED, log)
    return () if name is None else (Action(variable=name, place=node.place),)


def _qualified(key: Scalar, node: Node, log: ProblemLog) -> Action | None:
    text = read_text(node, "an action qualifier such as S, R, P or 'L 300 ms'", log)
    if text is None:
        return None
    qualifier, _, time = text.partition(" ")
    if qualifier not in PLAIN_QUALIFIERS + TIMED_QUALIFIERS:
        known = ", ".join(PLAIN_QUALIFIERS + TIMED_QUALIFIERS)
        nearest = qualifier.upper() if qualifier.upper() in PLAIN_QUALIFIERS + TIMED_QUALIFIERS else None
        log.note(node.place, f"an action qualifier ({known})", repr(qualifier), nearest)
        return None
    time_us = _time(qualifier, time.strip(), node.place, log)
    return Action(variable=key.text, place=key.place, qualifier=qualifier, time_us=time_us)


def _time(qualifier: str, text: str, place: Place, log: ProblemLog) -> int | None:
    needs_time = qualifier in TIMED_QUALIFIERS
    if needs_time and not text:
        log.note(place, f"a time after the qualifier {qualifier}, e.g. '{qualifier} 300 ms'", "nothing")
    if text and not needs_time:
        log.note(place, f"no time after the qualifier {qualifier}", repr(text))
    return _positive_time(text, place, log) if text and needs_time else None


def _positive_time(text: str, place: Place, log: ProblemLog) -> int | None:
    try:
        time_us = parse_time_literal(text) if "#" in text else parse_time(text)
    except ValueError as error:
        log.add([Problem.of(place, error)])
        return None
    if time_us <= 0:
        log.note(place, "a time longer than zero for the action", repr(text))
        return None
    return time_us
