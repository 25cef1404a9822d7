"""What a cylinder does on its supply: kind of valve, loss and return of air, its fall-back, and a pin or brake that holds it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from seqcheck.language.expression import Expression, Name
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device
from seqcheck.plant.behaviour import Behaviour, Drive, Failure, Position
from seqcheck.plant.device_entry import condition_drive, file_error, moving_time, output_drive, place_of
from seqcheck.plant.spool import AIR, CLOSED_CENTRE, COILS, DOUBLE, HOLD, OPEN_CENTRE, SINGLE, VALVES, Spool
from seqcheck.plant.supplied_travel import (
    DRIVEN,
    DROPS_HOME,
    DROPS_OUT,
    FALL_BACKS,
    FREED,
    HOLDS,
    STANDS,
    FailedSupply,
    Spot,
    Supplied,
    supplied_positions,
)
from seqcheck.plant.travel import Travel
from seqcheck.quantities.time import TimeRange

SLOWED = "slowed_"
"""Prefix of positions of a motion that was under way when the cylinder became slow."""

CYLINDER_SUPPLY = (
    Field(
        name="valve",
        kind=FieldKind.WORD,
        choices=VALVES,
        meaning="kind of valve; single solenoid if not given, double solenoid with `opposite`",
    ),
    Field(
        name="air", kind=FieldKind.ENERGY, meaning="supply or circuit without which nothing drives the piston"
    ),
    Field(
        name="without air",
        kind=FieldKind.WORD,
        choices=FALL_BACKS,
        meaning="what the piston does without air; drops: by its weight or a spring",
    ),
    Field(
        name="fall",
        kind=FieldKind.TIME_RANGE,
        meaning="how long a whole drop takes; as long as that way with air if not given",
    ),
    Field(
        name="held by",
        kind=FieldKind.CONDITION,
        meaning="while it holds, a pin or brake keeps the piston where it is",
    ),
)


def is_supplied(device: Device) -> bool:
    """Whether the cylinder has more than a sound supply, a valve without centre and nothing that holds it.

    Raises SequenceFileError where valve and outputs do not fit each other.
    """
    kind = _valve(device)
    given = any(device.entry(name) for name in ("air", "without air", "held by"))
    return given or kind in (CLOSED_CENTRE, OPEN_CENTRE)


def _valve(device: Device) -> str:
    has_two = device.value("opposite", str) is not None
    kind = device.value("valve", str) or (DOUBLE if has_two else SINGLE)
    if has_two and kind == SINGLE:
        raise file_error(
            device, "valve", expected="a valve with two solenoids, as `opposite` is given", found=kind
        )
    if not has_two and kind != SINGLE:
        raise file_error(device, "valve", expected=f"a field 'opposite' for a {kind} valve", found="none")
    return kind


def supplied_behaviour(device: Device, plain: Behaviour, travel: Travel, slow: Travel) -> Behaviour:
    """The behaviour `plain` with what the supply adds; `slow` is the travel of a slow cylinder.

    Raises SequenceFileError where the fall-back is missing, or has no use.
    """
    spool = Spool(
        kind=_valve(device),
        has_air=device.value("air", str) is not None,
        has_hold=device.entry("held by") is not None,
    )
    supplied = _supplied(device, spool, travel)
    stored = () if supplied.falls_to is None else ("is_stored",)
    drives = _drives(device)
    return replace(
        plain,
        positions=_positions(supplied, slow, tuple(failure.mode for failure in _failures(device))),
        facts=(*plain.facts, *stored),
        drives=tuple(drives[role] for role in spool.roles),
        failures=(*plain.failures[:3], *_failures(device), *plain.failures[3:]),
    )


def _supplied(device: Device, spool: Spool, travel: Travel) -> Supplied:
    fall_back = device.value("without air", str)
    if fall_back is None and (spool.has_air or spool.kind == OPEN_CENTRE):
        raise file_error(device, "without air", expected=" or ".join(FALL_BACKS), found="none")
    fall_back = fall_back or HOLDS
    if device.entry("fall") and fall_back not in (DROPS_HOME, DROPS_OUT):
        raise file_error(device, "fall", expected="no fall of a piston that does not drop", found="one")
    way = travel.forth if fall_back == DROPS_OUT else travel.back
    return Supplied(
        travel=travel,
        spool=spool,
        fall_back=fall_back,
        fall=moving_time(device, "fall") if device.value("fall", TimeRange) else way.within,
        moving=way.facts,
    )


def _drives(device: Device) -> dict[str, Drive]:
    found = {role: output_drive(device, role) for role in COILS if device.entry(role)}
    air = device.value("air", str)
    if air is not None:
        found[AIR] = Drive(role=AIR, condition=_is_on(device, air))
    if device.entry("held by"):
        found[HOLD] = condition_drive(device, "held by", role=HOLD)
    return found


def _is_on(device: Device, supply: str) -> Expression:
    return Name(place_of(device, "air"), f"{supply}.is_on")


def _failures(device: Device) -> tuple[Failure, ...]:
    leaks = Failure(name="leaks", text="loses its air, through a burst hose or a leak", mode="leaks")
    hold = Failure(name="hold_fails", text="what should hold it does not", mode="hold_fails")
    return (
        *((leaks,) if device.entry("without air") else ()),
        *((hold,) if device.entry("held by") else ()),
    )


@lru_cache(maxsize=256)
def _positions(supplied: Supplied, slow: Travel, more: tuple[str, ...]) -> tuple[Position, ...]:
    """All positions, with the modes that every cylinder has and those in `more`. Kept: behaviours are asked for again and again."""
    return supplied_positions(supplied, _modes(supplied, slow, more))


def _modes(supplied: Supplied, slow: Travel, more: tuple[str, ...]) -> tuple[FailedSupply, ...]:
    spool = supplied.spool
    slowed = replace(supplied, travel=slow, prefix=SLOWED)
    modes = {
        "jammed": FailedSupply(
            mode="jammed",
            supplied=supplied,
            cases=(),
            is_jammed=True,
            fails=lambda spot: spot._replace(is_whole=True) if supplied.is_on_the_way(spot) else spot,
        ),
        "slow": FailedSupply(
            mode="slow",
            supplied=slowed,
            cases=spool.cases(),
            fails=lambda spot: spot._replace(is_whole=False) if spot.does == DRIVEN else spot,
        ),
        "valve_sticks": FailedSupply(
            mode="valve_sticks", supplied=supplied, cases=spool.cases(sticks=True), fails=lambda spot: spot
        ),
        "leaks": FailedSupply(
            mode="leaks",
            supplied=supplied,
            cases=spool.cases(leaks=True),
            fails=lambda spot: _without_air(supplied, spot),
        ),
        "hold_fails": FailedSupply(
            mode="hold_fails", supplied=supplied, cases=spool.cases(holds=False), fails=lambda spot: spot
        ),
    }
    wanted = {"jammed", "slow", "valve_sticks", *more}
    return tuple(mode for name, mode in modes.items() if name in wanted)


def _without_air(supplied: Supplied, spot: Spot) -> Spot:
    """A driven piston loses its force; one that stands or is free stays so until the drives say more."""
    if spot.does != DRIVEN:
        return spot
    return supplied.begun(spot.place, spot.spool, FREED if supplied.fall_back != HOLDS else STANDS)
