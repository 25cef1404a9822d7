"""The states of a free-form device as a graph: what is reachable, and what a file may not say."""

from __future__ import annotations

from seqcheck.errors import Problem, SequenceFileError, nearest_name
from seqcheck.language.field import FreeMove, FreeState
from seqcheck.language.sequence import Device
from seqcheck.plant.device_entry import place_of


def reachable_states(states: tuple[FreeState, ...], starts: tuple[str, ...]) -> frozenset[str]:
    """Names of the states reachable from `starts` without a failure, the starts included."""
    moves = {state.name: state.moves for state in states}
    reached: set[str] = set()
    waiting = list(starts)
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached.add(name)
            waiting.extend(move.to for move in moves[name] if move.failure is None)
    return frozenset(reached)


def check_states(device: Device, states: tuple[FreeState, ...]) -> None:
    """Raise SequenceFileError with everything that makes no sense.

    That is: no or several initial states, a name used twice, a way out to nowhere or to where it starts, a
    way that both takes time and is an act, a failure on condition, a loop that stops time, a state without a
    way in.
    """
    problems = [*_naming_problems(device, states), *_move_problems(device, states)]
    if not problems:
        problems = [*_loop_problems(device, states), *_reach_problems(device, states)]
    if problems:
        raise SequenceFileError(problems)


def _problem(device: Device, expected: str, found: str, nearest: str | None = None) -> Problem:
    return Problem(place=place_of(device, "states"), expected=expected, found=found, nearest=nearest)


def _naming_problems(device: Device, states: tuple[FreeState, ...]) -> list[Problem]:
    problems = []
    names = [state.name for state in states]
    initial = [state.name for state in states if state.initial]
    if len(initial) != 1:
        found = ", ".join(initial) or "none"
        problems.append(_problem(device, f"exactly one initial state of {device.name}", found))
    for name in sorted({name for name in names if names.count(name) > 1}):
        problems.append(_problem(device, f"state names of {device.name} used once", f"{name} twice"))
    return problems


def _move_problems(device: Device, states: tuple[FreeState, ...]) -> list[Problem]:
    names = [state.name for state in states]
    wrong = [_wrong_way(state, move, names) for state in states for move in state.moves]
    return [_problem(device, *found) for found in wrong if found is not None]


def _wrong_way(state: FreeState, move: FreeMove, names: list[str]) -> tuple[str, str, str | None] | None:
    """What was expected of a way out, what was found, and the name probably meant; None if all is well."""
    way = f"the way from {state.name} to {move.to}"
    if move.to not in names:
        return "a state of the device", repr(move.to), nearest_name(move.to, names)
    if move.to == state.name:
        return "a way to another state", way, None
    if sum(kind is not None for kind in (move.after, move.act, move.failure)) > 1:
        return "at most one of after, act and failure", f"more in {way}", None
    if move.failure is not None and move.when is not None:
        return "a failure at any time", f"a condition in {way}", None
    return None


def failure_entries(states: tuple[FreeState, ...], name: str, sound: frozenset[str]) -> tuple[str, ...]:
    """The states that failure `name` leads to from the `sound` ones."""
    moves = (move for state in states if state.name in sound for move in state.moves)
    return tuple(move.to for move in moves if move.failure == name)


def failure_names(states: tuple[FreeState, ...]) -> list[str]:
    """Each failure once, in the order of the file."""
    moves = (move for state in states for move in state.moves)
    return list(dict.fromkeys(move.failure for move in moves if move.failure is not None))


def _reach_problems(device: Device, states: tuple[FreeState, ...]) -> list[Problem]:
    """States that neither the sound device nor one failure reaches."""
    sound = reachable_states(states, tuple(state.name for state in states if state.initial))
    entries = [failure_entries(states, name, sound) for name in failure_names(states)]
    reached = sound.union(*(reachable_states(states, names) for names in entries))
    return [
        _problem(device, "states that the device or one failure reaches", f"{state.name} without a way in")
        for state in states
        if state.name not in reached
    ]


def _loop_problems(device: Device, states: tuple[FreeState, ...]) -> list[Problem]:
    """A loop of ways that each happen at once, with no condition or the same one, would stop time."""
    conditions = [None, *(move.when for state in states for move in state.moves if move.when is not None)]
    for condition in conditions:
        at_once = {
            state.name: [
                move.to for move in state.moves if _is_at_once(move) and move.when in (None, condition)
            ]
            for state in states
        }
        looping = _states_in_loops(at_once)
        if looping:
            names = ", ".join(looping)
            return [_problem(device, "time to pass in every loop of states", f"a loop through {names}")]
    return []


def _is_at_once(move: FreeMove) -> bool:
    no_time = move.after is None or move.after.latest_us == 0
    return no_time and move.act is None and move.failure is None


def _states_in_loops(targets: dict[str, list[str]]) -> list[str]:
    """The states left after taking away, again and again, those without a way in or out."""
    left = targets
    while True:
        aims = {to for tos in left.values() for to in tos}
        kept = {name: [to for to in tos if to in left] for name, tos in left.items() if name in aims}
        kept = {name: tos for name, tos in kept.items() if tos}
        if kept == left:
            return list(left)
        left = kept
