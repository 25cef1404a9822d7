"""The states of a free-form device, which the file itself describes as states with times.

    states:
      waiting: {initial: true, facts: [is_idle], signals: [tape_ready], next: {taping: tape_on}}
      taping:  {next: {done: {after: 1..2 s}, waiting: {when: NOT tape_on}, torn: {failure: tears}}}
      done:    {next: {waiting: {act: resets}}}
      torn:    {}

A way out is a condition, a map (`when`, `after`, `act`, `failure`), or a list of these for several ways.
"""

from __future__ import annotations

from seqcheck.language.document import MapNode, Node, Scalar
from seqcheck.language.expression import Expression
from seqcheck.language.field import FreeMove, FreeState, Signal
from seqcheck.quantities.time import TimeRange, parse_time_range
from seqcheck.reader.condition import read_condition
from seqcheck.reader.plain_value import (
    check_count,
    check_keys,
    read_items,
    read_map,
    read_name,
    read_names,
    read_parsed,
    read_truth,
)
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.reader.signal import read_signal

STATE_KEYS = ("initial", "facts", "signals", "next")
MOVE_KEYS = ("when", "after", "act", "failure")
MOST_STATES = 100
"""States of one free-form device; each multiplies what must be explored."""


def read_free_states(node: Node, log: ProblemLog) -> tuple[FreeState, ...] | None:
    """Return the states in the order of the file; None if the map of states is none, or empty."""
    states = read_map(node, "a map of states", log)
    if states is None or not check_count(node.place, len(states.entries), MOST_STATES, "states", log):
        return None
    read = tuple(_state(name, value, states.names(), log) for name, value in states.entries)
    initial = [state.name for state in read if state.initial]
    if len(initial) != 1:
        found = f"{len(initial)} ({', '.join(initial)})" if initial else "none"
        log.note(node.place, "exactly one state with 'initial: true'", found)
    return read or None


def _state(key: Scalar, node: Node, states: tuple[str, ...], log: ProblemLog) -> FreeState:
    name = read_name(key, "the name of a state", log) or key.text
    state = read_map(node, f"a map for the state {name}", log)
    if state is None:
        return FreeState(name=name)
    check_keys(state, STATE_KEYS, f"a field of the state {name}", log)
    initial = state.get("initial")
    return FreeState(
        name=name,
        facts=_facts(state.get("facts"), log),
        signals=_signals(state.get("signals"), log),
        moves=_moves(state.get("next"), states, log),
        initial=initial is not None and read_truth(initial, "a word for 'initial'", log) is not False,
    )


def _facts(node: Node | None, log: ProblemLog) -> tuple[str, ...]:
    if node is None:
        return ()
    facts = read_names(node, "a fact such as 'is_idle', or a list of them", log)
    for fact in facts:
        if not fact.text.startswith("is_") or read_name(fact, "a fact", log) is None:
            log.note(fact.place, "a fact that starts with 'is_'", repr(fact.text))
    return tuple(fact.text for fact in facts)


def _signals(node: Node | None, log: ProblemLog) -> tuple[Signal, ...]:
    if node is None:
        return ()
    expected = "the name of an input, or a list of them"
    read = [read_signal(item, expected, log) for item in read_items(node, expected, log)]
    return tuple(signal for signal in read if signal is not None)


def _moves(node: Node | None, states: tuple[str, ...], log: ProblemLog) -> tuple[FreeMove, ...]:
    ways = None if node is None else read_map(node, "a map of ways out, e.g. {done: {after: 1..2 s}}", log)
    moves: list[FreeMove] = []
    for key, value in ways.entries if ways else ():
        if key.text not in states:
            log.unknown(key.place, "a state of this device", key.text, states)
        for item in read_items(value, f"how the device comes to {key.text}", log):
            moves += _move(key.text, item, log)
    return tuple(moves)


def _move(target: str, node: Node, log: ProblemLog) -> tuple[FreeMove, ...]:
    if not isinstance(node, MapNode):
        condition = read_condition(node, log)
        return () if condition is None else (FreeMove(to=target, when=condition),)
    check_keys(node, MOVE_KEYS, "a field of a way out", log)
    move = FreeMove(
        to=target,
        when=_when(node, log),
        after=_after(node, log),
        act=_word(node, "act", log),
        failure=_word(node, "failure", log),
    )
    given = [key for key in ("after", "act", "failure") if node.get(key) is not None]
    if len(given) > 1 or not node.entries:
        found = " and ".join(given) or "nothing"
        log.note(node.place, "'when' with at most one of 'after', 'act' and 'failure'", found)
    return (move,)


def _when(node: MapNode, log: ProblemLog) -> Expression | None:
    when = node.get("when")
    return None if when is None else read_condition(when, log)


def _after(node: MapNode, log: ProblemLog) -> TimeRange | None:
    after = node.get("after")
    expected = "a range of times such as '120..250 ms' for 'after'"
    return None if after is None else read_parsed(after, expected, parse_time_range, log)


def _word(node: MapNode, key: str, log: ProblemLog) -> str | None:
    word = node.get(key)
    return None if word is None else read_name(word, f"a name for {key!r}", log)
