"""A load that stored energy moves once nothing holds it: a carriage by its weight, an arm by its spring.

The picture: raised it `is_stored`; what holds it (air, a brake, a stop pin) is a condition on the machine. Not held, it drops
within its range, and stops where it is as soon as it is held again. Something raises it: a lift, a winch, the web.

    raised -> dropping -> dropped -> rising -> raised        stopped on the way, while it is held

Source: stored energy as a hazard of its own: ISO 12100 6.2.10 and 6.3.5.4, ISO 14118 (clause numbers from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour, Drive, Failure, Move, Position, contact_failures
from seqcheck.plant.device_entry import condition_drive, moving_time, up_to, wires_of
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.travel import RESUMED, Condition
from seqcheck.quantities.time import TimeRange

_FIELDS = (
    Field(
        name="held by",
        kind=FieldKind.CONDITION,
        meaning="while it holds, the load stays where it is: air, a brake, a stop pin",
        required=True,
    ),
    Field(
        name="drop",
        kind=FieldKind.TIME_RANGE,
        meaning="from the loss of what holds it to the bottom",
        required=True,
    ),
    Field(name="raised by", kind=FieldKind.CONDITION, meaning="what raises it; nothing does if not given"),
    Field(
        name="raise",
        kind=FieldKind.TIME_RANGE,
        meaning="from the bottom to the top; as the drop if not given",
    ),
    Field(name="raised", kind=FieldKind.SIGNAL, meaning="input that is on at the top"),
    Field(name="dropped", kind=FieldKind.SIGNAL, meaning="input that is on at the bottom"),
    Field(
        name="initially",
        kind=FieldKind.WORD,
        choices=("raised", "dropped"),
        meaning="where it is found at the start; raised if not given",
    ),
)

_FACTS = {
    "raised": frozenset({"is_stored", "is_raised"}),
    "dropped": frozenset({"is_dropped"}),
    "stopped": frozenset({"is_stored"}),
    "dropping": frozenset({"is_stored", "is_moving"}),
    "rising": frozenset({"is_stored", "is_moving"}),
}


_HELD, _RAISED = "held", "raised"
_SIGNALS = {"raised": frozenset({"raised"}), "dropped": frozenset({"dropped"})}
_ENDS = {"dropping": "dropped", "rising": "raised"}
_UNDER_WAY = tuple(_ENDS)


def _behaviour(device: Device, _machine: MachineData) -> Behaviour:
    """The load's positions, with the modes slips and hangs."""
    wires = wires_of(device, raised="raised", dropped="dropped")
    return Behaviour(
        device=device.name,
        positions=_all_positions(device),
        initial=device.value("initially", str) or "raised",
        facts=("is_stored", "is_raised", "is_dropped", "is_moving"),
        drives=_drives(device),
        wires=wires,
        failures=(
            Failure(name="slips", text="drops although it is held", mode="slips"),
            Failure(name="hangs", text="hangs where it is", mode="hangs"),
            *contact_failures(wires),
        ),
        moving_facts=("is_moving",),
    )


def _drives(device: Device) -> tuple[Drive, ...]:
    held = condition_drive(device, "held by", role=_HELD)
    if not _can_rise(device):
        return (held,)
    return (held, condition_drive(device, "raised by", role=_RAISED))


def _can_rise(device: Device) -> bool:
    return device.entry("raised by") is not None


def _all_positions(device: Device) -> tuple[Position, ...]:
    can_rise = _can_rise(device)
    held: Condition = ((_HELD, True),)
    healthy = _positions(device, _Ways(held, ((_HELD, False),), can_rise), mode="")
    links = {name: (("hangs", name.removeprefix(RESUMED)),) for name in _resumed()}
    if can_rise:
        slipping = _positions(device, _Ways(None, (), can_rise), mode="slips")
    else:
        links["raised"] = (("slips", "dropping"),)
        links["stopped"] = (("slips", RESUMED + "dropping"),)
        slipping = _fallen(_positions(device, _Ways(None, (), can_rise), mode="slips"))
    sound = tuple(replace(position, fails_as=links.get(position.name, ())) for position in healthy)
    return (*sound, *slipping, *_hanging(healthy))


@dataclass(frozen=True, slots=True)
class _Ways:
    """When a load stops on its way (None: never) and when it drops, but for what raises it; whether anything raises it."""

    stop: Condition | None
    drop: Condition
    can_rise: bool

    def from_place(self, own: str) -> tuple[Move, ...]:
        """The moves that the drives bring from a place."""
        lowered: Condition = ((_RAISED, False),) if self.can_rise else ()
        drop = "dropping" if own == "raised" else RESUMED + "dropping"
        rise = "rising" if own == "dropped" else RESUMED + "rising"
        found = []
        if own != "dropped" and not own.endswith("dropping") and (*lowered, *self.drop):
            found.append(Move(name="drop", to=drop, when=(*lowered, *self.drop)))
        if own.endswith(_UNDER_WAY) and self.stop is not None:
            found.append(Move(name="stop", to="stopped", when=(*lowered, *self.stop)))
        if self.can_rise and own != "raised" and not own.endswith("rising"):
            found.append(Move(name="rise", to=rise, when=((_RAISED, True),)))
        return tuple(found)


def _resumed() -> tuple[str, ...]:
    return tuple(RESUMED + name for name in _UNDER_WAY)


def _positions(device: Device, ways: _Ways, mode: str) -> tuple[Position, ...]:
    """All positions of a mode; only what can rise has positions of rising."""
    drop = moving_time(device, "drop")
    rise = moving_time(device, "raise") if device.entry("raise") else drop
    under_way = ["dropping", "rising"] if ways.can_rise else ["dropping"]
    names = ["raised", "dropped", "stopped", *under_way, *(RESUMED + name for name in under_way)]
    return tuple(_position(name, ways, {"dropping": drop, "rising": rise}, mode) for name in names)


def _position(name: str, ways: _Ways, times: dict[str, TimeRange], mode: str) -> Position:
    stage = name.removeprefix(RESUMED)
    timed: tuple[Move, ...] = ()
    if stage in times:
        end = _ENDS[stage]
        within = times[stage] if stage == name else up_to(times[stage])
        timed = (Move(name=f"reach_{end}", to=end, after=within),)
    return Position(
        name=name,
        mode=mode,
        facts=_FACTS[stage],
        signals=_SIGNALS.get(stage, frozenset()),
        moves=(*timed, *ways.from_place(name)),
        is_rest=not timed,
    )


def _fallen(positions: tuple[Position, ...]) -> tuple[Position, ...]:
    """Of a load that nothing raises and that slips: it falls from wherever it is."""
    return tuple(position for position in positions if position.name not in ("raised", "stopped"))


def _hanging(healthy: tuple[Position, ...]) -> tuple[Position, ...]:
    return tuple(
        replace(
            position,
            mode="hangs",
            facts=position.facts - {"is_moving"},
            moves=(),
            repaired_as=RESUMED + position.name if position.name in _UNDER_WAY else None,
        )
        for position in healthy
        if not position.name.startswith(RESUMED)
    )


LOAD = DeviceType(
    name="load",
    meaning="A load that its weight or a spring moves once nothing holds it",
    fields=_FIELDS,
    behaviour=_behaviour,
)
