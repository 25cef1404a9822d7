"""Inputs that need no state: pushbuttons and the like that only the controller looks at.

Anybody may turn such an input on and off at any moment, and nothing but a read can tell. So from a network state with one value
the other is reached at once, and it is enough that every read tries both: a button that is pressed, makes a read wanted, and is
seen by it at once. A read is bound to come only where it would alter something whatever the values are; where some value alters
nothing, the input may have that value for as long as it likes. Phases of the scan are not kept by this; all else is.
"""

from __future__ import annotations

from collections.abc import Iterable

from reference.tick_machine import TickMachine

from seqcheck.language.expression import Expression, Name, walk
from seqcheck.plant.behaviour import Behaviour


def chosen_parts(machine: TickMachine) -> dict[int, str]:
    """The parts that need no state, each with its signal."""
    watched = {name for part in machine.parts for drive in part.drives for name in names_in(drive.condition)}
    return {
        number: part.wires[0].signal.name
        for number, part in enumerate(machine.parts)
        if _is_free_contact(part) and not watched & {part.wires[0].signal.name, *_facts(part)}
    }


def names_in(expression: Expression) -> Iterable[str]:
    """Names of signals, facts and variables in a condition."""
    return (part.text for part in walk(expression) if isinstance(part, Name))


def _facts(part: Behaviour) -> set[str]:
    return {f"{part.device}.{fact}" for fact in part.facts}


def _is_free_contact(part: Behaviour) -> bool:
    """Two healthy positions, one with the signal and one without, and an act without condition from each to the other."""
    healthy = [position for position in part.positions if not position.mode]
    if len(healthy) != 2 or len(part.wires) != 1 or part.wires[0].signal.delay is not None:
        return False
    role = part.wires[0].role
    turned = all(
        len(position.moves) == 1 and position.moves[0].act is not None and not position.moves[0].when
        for position in healthy
    )
    return turned and (role in healthy[0].signals) != (role in healthy[1].signals)
