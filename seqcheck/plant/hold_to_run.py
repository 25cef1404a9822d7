"""A hold-to-run control: on for as long as somebody holds it. With three positions, pressed through it is off until it is let go.

Source: IEC 60204-1 9.2.3.7 (hold-to-run) and 9.2.3.9 (enabling control), IEC 60947-5-8 (three positions), from memory.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import wires_of
from seqcheck.plant.device_type import DeviceType

_THREE = "three"
_STAYS = "stays_in"
"""The failed mode in which letting go has no effect."""


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """Released and held, with three positions also pressed through; the mode in which it stays in when let go."""
    healthy = _healthy(has_three=device.value("positions", str) == _THREE)
    wires = wires_of(device, held="held")
    return Behaviour(
        device=device.name,
        positions=(*healthy, *_staying(healthy)),
        initial="released",
        facts=tuple(sorted({fact for position in healthy for fact in position.facts})),
        wires=wires,
        failures=(Failure(name=_STAYS, text="stays in when it is let go", mode=_STAYS), *contact_failures(wires)),
    )


def _healthy(*, has_three: bool) -> tuple[Position, ...]:
    press = Move(name="presses", to="held", act="presses")
    let_go = Move(name="releases", to="released", act="releases")
    through = Move(name="presses_through", to="pressed_through", act="presses_through")
    released = Position(name="released", facts=frozenset({"is_released"}), moves=(press,), is_rest=True)
    held = Position(
        name="held",
        facts=frozenset({"is_held"}),
        signals=frozenset({"held"}),
        moves=(let_go, *((through,) if has_three else ())),
        is_rest=True,
    )
    pressed = Position(name="pressed_through", facts=frozenset({"is_pressed_through"}), moves=(let_go,), is_rest=True)
    return (released, held, *((pressed,) if has_three else ()))


def _staying(healthy: tuple[Position, ...]) -> tuple[Position, ...]:
    """Held, it is let go without effect: the hand is off, the contact stays on."""
    let_go = Position(
        name="let_go",
        mode=_STAYS,
        facts=frozenset({"is_released"}),
        signals=frozenset({"held"}),
        moves=(Move(name="presses", to="held", act="presses"),),
        repaired_as="released",
    )
    copies = tuple(replace(part, mode=_STAYS, moves=tuple(_without_effect(part, move) for move in part.moves)) for part in healthy)
    return (*copies, let_go)


def _without_effect(position: Position, move: Move) -> Move:
    return replace(move, to="let_go") if position.name == "held" and move.name == "releases" else move


HOLD_TO_RUN = DeviceType(
    name="hold_to_run",
    meaning="A hold-to-run control, or an enabling control with three positions",
    fields=(
        Field(name="held", kind=FieldKind.SIGNAL, meaning="input that is on while it is held", required=True),
        Field(
            name="positions",
            kind=FieldKind.WORD,
            meaning="two, or three where it is off again when pressed through; two if not given",
            choices=("two", _THREE),
        ),
    ),
    behaviour=_behaviour,
)
