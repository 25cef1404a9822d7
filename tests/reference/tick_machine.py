"""The devices and circuits of a sequence, run straight from what their types say (`Behaviour`)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

from reference.tick_condition import holds, named

from seqcheck.language.sequence import Sequence
from seqcheck.plant.behaviour import Behaviour, Failure, Move, Position
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.plant.circuit import circuit_behaviour

Plant = tuple[int, ...]
"""The number of each device's position."""

MOST_MOVES = 200
"""Driven moves in one instant; more would stop time."""


class Wired(Protocol):
    """What the conditions of devices and circuits look at."""

    plant: list[int]
    written: frozenset[str]

    @property
    def signals(self) -> frozenset[str]:
        """The inputs as the contacts show them."""


@dataclass(slots=True)
class TickMachine:
    """All devices of a sequence, then its circuits."""

    sequence: Sequence
    parts: tuple[Behaviour, ...] = ()
    failures: dict[str, tuple[Failure, ...]] = field(default_factory=dict)
    numbers: dict[tuple[int, str, str], int] = field(default_factory=dict)
    """From part, position name and mode to the position's number."""
    _known_signals: dict[Plant, frozenset[str]] = field(default_factory=dict)
    _known_facts: dict[Plant, frozenset[str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Ask every type for its behaviour."""
        devices = [
            DEVICE_TYPES[device.type_name].behaviour(device, self.sequence.machine) for device in self.sequence.devices
        ]
        self.parts = (*devices, *(circuit_behaviour(circuit) for circuit in self.sequence.circuits))
        for number, part in enumerate(self.parts):
            device = self.sequence.device(part.device)
            excluded = device.excluded_failures if device is not None else ()
            self.failures[part.device] = tuple(mode for mode in part.failures if mode.name not in excluded)
            for index, position in enumerate(part.positions):
                self.numbers[number, position.name, position.mode] = index

    def initial(self) -> list[int]:
        """Every device in its initial position."""
        return [self.numbers[number, part.initial, ""] for number, part in enumerate(self.parts)]

    def position(self, part: int, plant: list[int] | Plant) -> Position:
        """The position in which one part is."""
        return self.parts[part].positions[plant[part]]

    def raw_signals(self, plant: list[int] | Plant) -> frozenset[str]:
        """The inputs that sound contacts would turn on."""
        identity = tuple(plant)
        if identity not in self._known_signals:
            self._known_signals[identity] = self._raw_signals(identity)
        return self._known_signals[identity]

    def _raw_signals(self, plant: Plant) -> frozenset[str]:
        return frozenset(
            wire.signal.name
            for number, part in enumerate(self.parts)
            for wire in part.wires
            if wire.role in self.position(number, plant).signals
        )

    def facts(self, plant: list[int] | Plant) -> frozenset[str]:
        """What is true of the machine, as `device.fact`."""
        identity = tuple(plant)
        if identity not in self._known_facts:
            self._known_facts[identity] = self._facts(identity)
        return self._known_facts[identity]

    def _facts(self, plant: Plant) -> frozenset[str]:
        return frozenset(
            f"{part.device}.{fact}"
            for number, part in enumerate(self.parts)
            for fact in self.position(number, plant).facts
            if fact in part.facts
        )

    def is_free(self, part: int, move: Move, view: Wired) -> bool:
        """Whether the drives let `move` happen."""
        if not move.when:
            return True
        on = view.signals | view.written | self.facts(view.plant)
        value = named(lambda name: name in on)
        conditions = {drive.role: drive.condition for drive in self.parts[part].drives}
        return all(holds(conditions[role], value) is wanted for role, wanted in move.when)

    def due(self, view: Wired) -> tuple[int, int] | None:
        """The next driven move of an instant: the part, and where it goes; None if all rest."""
        for number in range(len(self.parts)):
            position = self.position(number, view.plant)
            for move in position.moves:
                if move.after is None and move.act is None and self.is_free(number, move, view):
                    return number, self.numbers[number, move.to, position.mode]
        return None

    def failed_position(self, part: int, mode: Failure, plant: Plant) -> int | None:
        """Where a failure of the body leads from here, None if it cannot happen here."""
        position = self.position(part, plant)
        if position.mode or mode.contact is not None:
            return None
        return self.numbers.get((part, dict(position.fails_as).get(mode.mode, position.name), mode.mode))
