"""An operator who follows a procedure: after it begins he does only the stated acts, in order, each within a human time.

Before it begins, anybody may do anything. It begins at any moment (in the stated steps), in which every stated repair has just
been made; from then on acts are no longer free but follow the operator's progress, and nothing fails any more.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.errors import Place
from seqcheck.language.expression import Expression, Name
from seqcheck.language.field import Act
from seqcheck.plant.behaviour import Behaviour, Drive, Move, Position

OPERATOR = "the operator"
"""Name of the operator as a device; no device of a file can have a space in its name."""

WATCHING = "is_watching"
BEGUN = "has_begun"
DONE = "is_done"
REPAIR = "repair"
BEGINS = "begins to recover"


def fact_name(fact: str) -> str:
    """The name of a fact of the operator in conditions."""
    return f"{OPERATOR}.{fact}"


def acts_of_procedure(acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """The acts proper, without repairs, which have been made when the procedure begins."""
    return tuple(act for act in acts if act.act != REPAIR)


def operator_behaviour(acts: tuple[Act, ...], begins_when: Expression) -> Behaviour:
    """The operator: watching, then one position for each act done. `begins_when` says where the procedure may begin."""
    acts = acts_of_procedure(acts)
    begin = Move(name=BEGINS, to="step_0", act=BEGINS, when=(("may_begin", True),))
    positions = [Position(name="watching", facts=frozenset({WATCHING}), moves=(begin,), is_rest=True)]
    for number in range(len(acts) + 1):
        is_last = number == len(acts)
        facts = {BEGUN, f"did_{number}"} | ({DONE} if is_last else set())
        moves = () if is_last else (_next(acts[number], number),)
        positions.append(Position(name=f"step_{number}", facts=frozenset(facts), moves=moves))
    return Behaviour(
        device=OPERATOR,
        positions=tuple(positions),
        initial="watching",
        facts=(WATCHING, BEGUN, DONE, *(f"did_{number}" for number in range(len(acts) + 1))),
        drives=(Drive(role="may_begin", condition=begins_when),),
    )


def _next(act: Act, number: int) -> Move:
    return Move(name=f"{act.act} {act.device}", to=f"step_{number + 1}", after=act.within)


def following_procedure(behaviour: Behaviour, acts: tuple[Act, ...], place: Place) -> Behaviour:
    """A device whose acts are free while the operator watches, and follow his progress afterwards."""
    mine = [
        (number, act.act)
        for number, act in enumerate(acts_of_procedure(acts), start=1)
        if act.device == behaviour.device
    ]
    positions = tuple(
        replace(position, moves=tuple(moved for move in position.moves for moved in _followed(move, mine)))
        for position in behaviour.positions
    )
    watching = Drive(role="watching", condition=Name(place, fact_name(WATCHING)))
    did = tuple(
        Drive(role=f"did_{number}", condition=Name(place, fact_name(f"did_{number}"))) for number, _ in mine
    )
    return replace(behaviour, positions=positions, drives=(*behaviour.drives, watching, *did))


def _followed(move: Move, mine: list[tuple[int, str]]) -> tuple[Move, ...]:
    if move.act is None or move.unobserved:
        return (move,)
    free = replace(move, when=(*move.when, ("watching", True)))
    driven = tuple(
        replace(move, act=None, name=f"{move.act} in step {number}", when=(*move.when, (f"did_{number}", True)))
        for number, act in mine
        if act == move.act
    )
    return (free, *driven)
