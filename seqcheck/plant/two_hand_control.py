"""A two-hand control: its output is on only while both actuators are held.

Type I: both held. Type II: after either is let go both must be, before the output comes on again. Type III: also both must be
pressed within the synchrony time. The picture::

    released -> left (or right) -> both: output on -> right_again (left let go) -> released
                     | too late                            | left pressed again
                left_only -> both_blocked  <---------------+

Source: ISO 13851 (types, 0.5 s synchrony, from memory).
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import file_error, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.quantities.time import TimeRange

SYNCHRONY_US = 500_000
"""Longest time between the two actuators of type III. Source: ISO 13851 (from memory)."""

_FACTS = ("is_on", "is_left_held", "is_right_held", "is_released")
_SIDES = {"left": "right", "right": "left"}
_UNSYNCHRONISED, _UNCHECKED = "synchrony_not_checked", "release_not_checked"
_NO_SYNCHRONY = Failure(name=_UNSYNCHRONISED, text="accepts the second hand at any time", mode=_UNSYNCHRONISED)
_NO_RELEASE = Failure(name=_UNCHECKED, text="comes on again although one hand has not let go", mode=_UNCHECKED)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """Both hands in every combination, with what the control makes of them; its checks may fail.

    Raises SequenceFileError for a synchrony time of a type without one, or of more than 0.5 s.
    """
    kind = device.value("kind", str) or "III"
    synchrony_us = _synchrony_us(device, kind)
    healthy = _type_1() if kind == "I" else _blocking(synchrony_us)
    modes = () if kind == "I" else _unchecked_modes(synchrony_us)
    failures = {"I": (), "II": (_NO_RELEASE,), "III": (_NO_RELEASE, _NO_SYNCHRONY)}[kind]
    wires = wires_of(device, on="on")
    return Behaviour(
        device=device.name,
        positions=(*_failing(healthy, tuple(failure.mode for failure in failures)), *modes),
        initial="released",
        facts=_FACTS,
        wires=wires,
        failures=(*failures, *contact_failures(wires)),
    )


def _synchrony_us(device: Device, kind: str) -> int | None:
    given_us = device.value("synchrony", int)
    if kind != "III":
        if given_us is not None:
            raise file_error(device, "synchrony", expected="kind: III, the only one with a synchrony time", found=f"kind: {kind}")
        return None
    if given_us is not None and given_us > SYNCHRONY_US:
        raise file_error(device, "synchrony", expected="at most 500 ms (ISO 13851)", found=f"{given_us // 1000} ms")
    return given_us or SYNCHRONY_US


def _position(name: str, held: tuple[str, ...], moves: tuple[Move, ...], *, is_on: bool = False) -> Position:
    hands = frozenset(f"is_{side}_held" for side in held) or frozenset({"is_released"})
    return Position(
        name=name,
        facts=hands | ({"is_on"} if is_on else set()),
        signals=frozenset({"on"}) if is_on else frozenset(),
        moves=moves,
        is_rest=not is_on,
    )


def _presses(side: str, to: str) -> Move:
    return Move(name=f"presses_{side}", to=to, act=f"presses_{side}")


def _releases(side: str, to: str) -> Move:
    return Move(name=f"releases_{side}", to=to, act=f"releases_{side}")


def _type_1() -> tuple[Position, ...]:
    both = _position("both", tuple(_SIDES), tuple(_releases(side, other) for side, other in _SIDES.items()), is_on=True)
    return (_released(), *(_one_hand(side, other, None) for side, other in _SIDES.items()), both)


def _released() -> Position:
    return _position("released", (), tuple(_presses(side, side) for side in _SIDES))


def _one_hand(side: str, other: str, synchrony_us: int | None) -> Position:
    """One actuator is held, and the other may still be pressed for the output."""
    late = (
        ()
        if synchrony_us is None
        else (Move(name=f"too_late_{other}", to=f"{side}_only", after=TimeRange(synchrony_us, synchrony_us)),)
    )
    return _position(side, (side,), (_presses(other, "both"), _releases(side, "released"), *late))


def _blocking(synchrony_us: int | None) -> tuple[Position, ...]:
    """Types II and III: whoever lets one go, or is late with the second, must let both go."""
    both_moves = tuple(_releases(side, f"{other}_only") for side, other in _SIDES.items())
    return (
        _released(),
        *(_one_hand(side, other, synchrony_us) for side, other in _SIDES.items()),
        _position("both", tuple(_SIDES), both_moves, is_on=True),
        *(
            _position(f"{side}_only", (side,), (_presses(other, "both_blocked"), _releases(side, "released")))
            for side, other in _SIDES.items()
        ),
        _position("both_blocked", tuple(_SIDES), both_moves),
    )


def _unchecked_modes(synchrony_us: int | None) -> tuple[Position, ...]:
    """The control without one of its checks; what was blocked stays so until both are let go."""
    unchecked = tuple(_without_release_check(part) for part in _blocking(synchrony_us))
    if synchrony_us is None:
        return _in(_UNCHECKED, unchecked)
    return (*_in(_UNCHECKED, unchecked), *_in(_UNSYNCHRONISED, _blocking(None)))


def _in(mode: str, positions: tuple[Position, ...]) -> tuple[Position, ...]:
    return tuple(replace(part, mode=mode) for part in positions)


def _without_release_check(position: Position) -> Position:
    """Of the output once on, letting one hand go and pressing it again is enough."""
    if position.name != "both":
        return position
    return replace(position, moves=tuple(_releases(side, other) for side, other in _SIDES.items()))


def _failing(healthy: tuple[Position, ...], modes: tuple[str, ...]) -> tuple[Position, ...]:
    return tuple(replace(part, fails_as=tuple((mode, part.name) for mode in modes)) for part in healthy)


TWO_HAND_CONTROL = DeviceType(
    name="two_hand_control",
    meaning="A two-hand control of type I, II or III",
    fields=(
        Field(name="on", kind=FieldKind.SIGNAL, meaning="input that is on while its evaluated output is", required=True),
        Field(name="kind", kind=FieldKind.WORD, meaning="type by ISO 13851; III if not given", choices=("I", "II", "III")),
        Field(
            name="synchrony",
            kind=FieldKind.TIME,
            meaning="longest time between the two hands of type III; 500 ms if not given",
        ),
    ),
    behaviour=_behaviour,
)
