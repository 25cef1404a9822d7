"""A safety circuit outside the controller: it holds energy (air, drive enable) on while its channels hold.

It drops within its range when a channel is lost, and with a manual reset returns only when the reset rises while every
channel holds. It starts energised: the normal start is a machine in production; `start: anywhere` has it in any state.
Two channels that differ for longer than the discrepancy time lock it off until both have been lost.
Source: ISO 13849-1 (category 1 for one channel, 3 for two), ISO 13850 (reset); the behaviour is common practice.
"""

from __future__ import annotations

from seqcheck.language.expression import Expression
from seqcheck.language.field import Signal
from seqcheck.language.sequence import Circuit
from seqcheck.plant.behaviour import Behaviour, Drive, Failure, Move, Position, Wire, contact_failures
from seqcheck.quantities.time import TimeRange

CHANNELS = ("channel_1", "channel_2")


def circuit_behaviour(circuit: Circuit) -> Behaviour:
    """The circuit in the form the kernel runs: fact `is_on`, failures `does_not_drop` (one channel only) and `lost`."""
    channels = CHANNELS[: len(circuit.channels)]
    positions = _healthy(circuit, channels)
    failures = [Failure(name="lost", text=f"{circuit.name} energy is lost", mode="lost")]
    failed = [Position(name=position.name, mode="lost", is_rest=True) for position in positions]
    if len(channels) == 1:
        failures.append(
            Failure(name="does_not_drop", text=f"{circuit.name} does not drop", mode="does_not_drop")
        )
        failed.extend(_welded(position) for position in positions)
    wires = (Wire(role="on", signal=Signal(name=circuit.signal)),) if circuit.signal else ()
    return Behaviour(
        device=circuit.name,
        positions=(*positions, *failed),
        initial="on",
        facts=("is_on",),
        drives=_drives(circuit, channels),
        wires=wires,
        failures=(*failures, *contact_failures(wires)),
    )


def _drives(circuit: Circuit, channels: tuple[str, ...]) -> tuple[Drive, ...]:
    conditions: list[tuple[str, Expression]] = list(zip(channels, circuit.channels, strict=True))
    if circuit.reset is not None:
        conditions.append(("reset", circuit.reset))
    return tuple(Drive(role=role, condition=condition) for role, condition in conditions)


def _healthy(circuit: Circuit, channels: tuple[str, ...]) -> tuple[Position, ...]:
    every = tuple((channel, True) for channel in channels)
    lose = tuple(
        Move(name=f"lose_{channel}", to="dropping", when=((channel, False),)) for channel in channels
    )
    on = Position(name="on", facts=frozenset({"is_on"}), signals=frozenset({"on"}), moves=lose, is_rest=True)
    dropping = Position(
        name="dropping",
        facts=frozenset({"is_on"}),
        signals=frozenset({"on"}),
        moves=(Move(name="drop", to="off", after=circuit.drop),),
    )
    return (on, dropping, *_off(circuit, every), *_locked_out(circuit, channels))


def _off(circuit: Circuit, every: tuple[tuple[str, bool], ...]) -> tuple[Position, ...]:
    differ = _discrepancy(circuit)
    if circuit.reset is None:
        back = Move(name="return", to="on", when=every)
        return (Position(name="off", moves=(back, *differ), is_rest=True),)
    arm = Move(name="reset_released", to="off_armed", when=(("reset", False),))
    accept = Move(name="reset", to="on", when=(("reset", True), *every))
    refuse = Move(name="reset_refused", to="off", when=(("reset", True),))
    return (
        Position(name="off", moves=(arm, *differ), is_rest=True),
        Position(name="off_armed", moves=(accept, refuse, *differ), is_rest=True),
    )


def _discrepancy(circuit: Circuit) -> tuple[Move, ...]:
    if circuit.discrepancy_us is None or len(circuit.channels) < 2:
        return ()
    after = TimeRange(circuit.discrepancy_us, circuit.discrepancy_us)
    first, second = CHANNELS
    return tuple(
        Move(name="channels_differ", to="locked_out", when=((first, value), (second, not value)), after=after)
        for value in (True, False)
    )


def _locked_out(circuit: Circuit, channels: tuple[str, ...]) -> tuple[Position, ...]:
    if not _discrepancy(circuit):
        return ()
    lost = tuple((channel, False) for channel in channels)
    return (Position(name="locked_out", moves=(Move(name="both_lost", to="off", when=lost),), is_rest=True),)


def _welded(position: Position) -> Position:
    return Position(
        name=position.name,
        mode="does_not_drop",
        facts=position.facts,
        signals=position.signals,
        moves=tuple(move for move in position.moves if move.to == "on"),
        is_rest=position.is_rest,
    )
