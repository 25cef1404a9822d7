"""The two sides on which an accumulator has a budget: web that a splice draws, room that a cut-over at the rewind uses up.

One is the other in a mirror (plant/take_up.py): levels of room are levels of web turned over, the rewind is the unwind. So all
proofs and searches are the same, and only the words and the winding's section of the machine data differ.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.accumulator import ABOVE, BELOW, AccumulatorSetting, accumulator_setting
from seqcheck.requirements.take_up import ABOVE as ABOVE_FILLED
from seqcheck.requirements.take_up import BELOW as BELOW_RESERVE
from seqcheck.requirements.take_up import take_up_setting


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """A side: its requirement kind, the word of the one with a budget and of the other, the winding's section, and its words.

    `from_level`: the level at which a splice or cut-over (`event`) should begin. `limit`: what the budget ends at; `left`: what
    remains before it. `lasts`, `fails`: the verdict in a sentence.
    """

    kind: str
    budgeted: str
    other: str
    winding: str
    takes_up: bool
    from_level: str
    limit: str
    left: str
    lasts: str
    fails: str
    event: str


UNWIND = Side(
    kind="accumulator",
    budgeted=BELOW,
    other=ABOVE,
    winding="unwind",
    takes_up=False,
    from_level="filled",
    limit="reserve",
    left="left above reserve",
    lasts="The web lasts",
    fails="The web does not last",
    event="splice",
)
REWIND = Side(
    kind="take_up",
    budgeted=ABOVE_FILLED,
    other=BELOW_RESERVE,
    winding="rewind",
    takes_up=True,
    from_level="emptied",
    limit="filled",
    left="room left below filled",
    lasts="The room lasts",
    fails="The room does not last",
    event="cut-over",
)
SIDES = (UNWIND, REWIND)


def side_of(requirement: Requirement) -> Side | None:
    """The side whose budget a requirement states; None where it states none."""
    return next((side for side in SIDES if _says(requirement, side, side.budgeted)), None)


def is_other_end(requirement: Requirement) -> bool:
    """Whether a requirement speaks of the other end of the stroke: what is filled, or emptied, too far."""
    return any(_says(requirement, side, side.other) for side in SIDES)


def setting_of(requirement: Requirement, sequence: Sequence) -> AccumulatorSetting:
    """The accumulator with its numbers; that of a rewind as the one it is in the mirror.

    Raises SequenceFileError if the file lacks data.
    """
    side = side_of(requirement)
    setting = take_up_setting if side is REWIND else accumulator_setting
    return setting(requirement, sequence)


def _says(requirement: Requirement, side: Side, words: str) -> bool:
    field = side.kind.replace("_", "-")
    return requirement.kind == side.kind and requirement.value(field, str) == words
