"""Jogging: a drive that, from standstill, also runs at reduced speed while a second output asks for it.

The picture, beside the ramps of the drive::

    stopped -> creeping -> jog_stopping -> stopped          (from both, `run` goes on to the ramp up)

It is at reduced speed at once, and stops within its own time. A drive that fails to keep the reduced speed runs faster than it.
Source: IEC 60204-1 9.2.3.7 (hold-to-run with reduced speed), IEC 61800-5-2 (safely-limited speed), from memory.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.plant.behaviour import Failure, Move, Position
from seqcheck.plant.travel import RESUMED
from seqcheck.quantities.time import TimeRange

REDUCED = "is_at_reduced_speed"
EXCEEDS = "exceeds_reduced_speed"
JOG_FAILURE = Failure(name=EXCEEDS, text="jogs faster than its reduced speed", mode=EXCEEDS)

_JOG, _NOT = (("run", False), ("jog", True)), (("run", False), ("jog", False))


def with_jog(positions: tuple[Position, ...], stop: TimeRange, coast: TimeRange) -> tuple[Position, ...]:
    """The positions of a drive, in each mode, with those of jogging; and the mode in which it exceeds the reduced speed."""
    healthy = tuple(replace(part, mode=EXCEEDS, fails_as=()) for part in positions if part.mode == "")
    every = (*positions, *healthy)
    modes = dict.fromkeys(part.mode for part in every)
    begun = tuple(_with_begin(part) for part in every)
    return (*begun, *(part for mode in modes for part in _jogging(mode, coast if mode == "coasts" else stop)))


def _with_begin(position: Position) -> Position:
    if position.name != "stopped" or position.mode == "does_not_start":
        return position
    return replace(position, moves=(*position.moves, Move(name="jog", to="creeping", when=_JOG)))


def _jogging(mode: str, stop: TimeRange) -> tuple[Position, ...]:
    runs = () if mode == "does_not_start" else (Move(name="go_at_speed", to=f"{RESUMED}starting", when=(("run", True),)),)
    lets_go = () if mode == "does_not_stop" else (Move(name="jog_ends", to="jog_stopping", when=_NOT),)
    stands = () if mode == "does_not_stop" else (Move(name="jog_stands", to="stopped", after=stop),)
    again = () if mode == "does_not_start" else (Move(name="jog", to="creeping", when=_JOG),)
    facts = frozenset({"is_moving"} if mode == EXCEEDS else {"is_moving", REDUCED})
    return (
        Position(name="creeping", mode=mode, facts=facts, moves=(*lets_go, *runs)),
        Position(name="jog_stopping", mode=mode, facts=facts, moves=(*stands, *again, *runs)),
    )
