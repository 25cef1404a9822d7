"""A decurler: a bar or wrap roll that is brought to a position over the roll's diameter, and backed off to its home.

The picture: engaged it moves at its rate from home to where web/decurl.py wants it, then follows the diameter; the output off, it
backs off to home. How long that takes lies between the shortest position at the fastest rate and the longest at the slowest.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import file_error, output_drive, required, up_to, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.failed_travel import linked, slow_links, slow_mode, stopped_links, stopped_mode
from seqcheck.plant.travel import RESUMED, End, Travel, Way
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND, TimeRange
from seqcheck.web.decurl import DecurlLaw

RATE_SPREAD = 0.05
"""The rate that is reached, more or less than the stated one. Common practice, no source."""
SLOWED = "slowed_"
_SLOW_FACTOR = 3
"""A slow decurler takes at most three times as long. Common practice, no source."""
_MOVING = frozenset({"is_moving"})

_FIELDS = (
    Field(
        name="engage", kind=FieldKind.OUTPUT, meaning="output that brings it to its position", required=True
    ),
    Field(name="energy", kind=FieldKind.ENERGY, meaning="safety circuit or supply that the output needs"),
    Field(
        name="at full", kind=FieldKind.LENGTH, meaning="position at the full roll, from home", required=True
    ),
    Field(name="at core", kind=FieldKind.LENGTH, meaning="position at the core, from home", required=True),
    Field(name="rate", kind=FieldKind.SPEED, meaning="how fast it moves, 5 % more or less", required=True),
    Field(
        name="roll", kind=FieldKind.NAME, meaning="the roll whose diameter it follows; the first if not given"
    ),
    Field(name="home", kind=FieldKind.SIGNAL, meaning="input that is on when it is backed off"),
    Field(
        name="in_range",
        kind=FieldKind.SIGNAL,
        meaning="input that is on when it is where the diameter wants it",
    ),
    Field(
        name="initially",
        kind=FieldKind.WORD,
        choices=("home", "in_range"),
        meaning="where it is found at the start; in range if not given",
    ),
)


def decurl_law(device: Device, machine: MachineData) -> DecurlLaw | None:
    """The device's position over the diameter; None without the section roll."""
    if machine.roll is None:
        return None
    return DecurlLaw(
        at_full_mm=required(device, "at full", float),
        at_core_mm=required(device, "at core", float),
        outside_m=machine.roll.outside_mm / 1000,
        core_m=machine.roll.core_mm / 1000,
    )


def _behaviour(device: Device, machine: MachineData) -> Behaviour:
    """The decurler's positions, with the modes jammed, slow and does_not_follow.

    Raises SequenceFileError if it has no way to go, or is too slow for the emptying roll.
    """
    _check_rate(device, machine)
    within = _moving_time(device)
    travel = _travel(within)
    slow = _travel(replace(within, latest_us=(within.latest_us or 0) * _SLOW_FACTOR))
    wires = wires_of(device, home="home", in_range="in_range")
    return Behaviour(
        device=device.name,
        positions=_all_positions(travel, slow),
        initial=device.value("initially", str) or "in_range",
        facts=("is_backed_off", "is_in_range", "is_moving"),
        drives=(output_drive(device, "engage"),),
        wires=wires,
        failures=(
            Failure(name="jams", text="jams where it is", mode="jammed"),
            Failure(name="slow", text="moves slowly", mode="slow"),
            Failure(
                name="does_not_follow",
                text="does not follow the diameter, and stands where it should not",
                mode="does_not_follow",
            ),
            *contact_failures(wires),
        ),
        moving_facts=("is_moving",),
    )


def _moving_time(device: Device) -> TimeRange:
    """From home to a position, or back: the least position at the fastest rate to the greatest at the slowest."""
    positions = [required(device, name, float) for name in ("at full", "at core")]
    rate_mm_per_us = required(device, "rate", float) * 1000 / MICROSECONDS_PER_SECOND
    if min(positions) <= 0:
        raise file_error(
            device, "at full", expected="positions away from home", found=f"{min(positions):g} mm"
        )
    if rate_mm_per_us <= 0:
        raise file_error(device, "rate", expected="a rate above zero", found="0")
    return TimeRange(
        round(min(positions) / (rate_mm_per_us * (1 + RATE_SPREAD))),
        round(max(positions) / (rate_mm_per_us * (1 - RATE_SPREAD))),
    )


def _check_rate(device: Device, machine: MachineData) -> None:
    law, line, web = decurl_law(device, machine), machine.line, machine.web
    if law is None or line is None or web is None or web.caliper_mm is None:
        return
    least = law.fastest_mm_per_s(caliper_m=web.caliper_mm / 1000, speed_m_per_s=line.speed_m_per_s)
    found = required(device, "rate", float) * 1000 * (1 - RATE_SPREAD)
    if found < least:
        expected = (
            f"a rate that keeps up with the roll near its core: at least {least / (1 - RATE_SPREAD):.3g} mm/s"
        )
        raise file_error(device, "rate", expected=expected, found=f"{found / (1 - RATE_SPREAD):.3g} mm/s")


def _travel(within: TimeRange) -> Travel:
    home = End(name="home", facts=frozenset({"is_backed_off"}), signals=frozenset({"home"}))
    in_range = End(name="in_range", facts=frozenset({"is_in_range"}), signals=frozenset({"in_range"}))
    engaged, released = (("engage", True),), (("engage", False),)
    return Travel(
        Way(start=home, end=in_range, going="engaging", when=engaged, within=within, facts=_MOVING),
        Way(start=in_range, end=home, going="backing_off", when=released, within=within, facts=_MOVING),
    )


def _all_positions(travel: Travel, slow: Travel) -> tuple[Position, ...]:
    healthy = travel.positions()
    modes = {
        "jammed": stopped_links(travel.ways),
        "slow": slow_links(slow, slow.ways, SLOWED),
        "does_not_follow": {"in_range": "out_of_range"},
    }
    return (
        *linked(healthy, modes),
        *stopped_mode("jammed", healthy, travel.ways, lost=_MOVING),
        *slow_mode("slow", slow, slow.ways, SLOWED),
        *_not_following(travel.forth.within),
    )


def _not_following(within: TimeRange) -> tuple[Position, ...]:
    """It still goes out and back, but not to where it should. Names of its own: only in range does the failure count."""
    out, back = (("engage", True),), (("engage", False),)
    names = {
        "out_of_range": (
            RESUMED + "engaging",
            frozenset[str](),
            (("withdraw", "resumed_withdrawing", back),),
        ),
        "resumed_withdrawing": (RESUMED + "backing_off", _MOVING, (("advance", "resumed_advancing", out),)),
        "withdrawn": ("home", frozenset({"is_backed_off"}), (("advance", "resumed_advancing", out),)),
        "resumed_advancing": (RESUMED + "engaging", _MOVING, (("withdraw", "resumed_withdrawing", back),)),
    }
    ends = {"resumed_withdrawing": "withdrawn", "resumed_advancing": "out_of_range"}
    return tuple(
        Position(
            name=name,
            mode="does_not_follow",
            facts=facts,
            signals=frozenset({"home"}) if name == "withdrawn" else frozenset(),
            moves=(
                *(
                    (Move(name=f"reach_{ends[name]}", to=ends[name], after=up_to(within)),)
                    if name in ends
                    else ()
                ),
                *(Move(name=move, to=to, when=when) for move, to, when in driven),
            ),
            repaired_as=repaired,
        )
        for name, (repaired, facts, driven) in names.items()
    )


DECURLER = DeviceType(
    name="decurler",
    meaning="A decurler bar or wrap that follows the roll's diameter and can be backed off",
    fields=_FIELDS,
    behaviour=_behaviour,
)
