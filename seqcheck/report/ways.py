"""What somebody does at the machine so that a part of a condition becomes true or false, read from devices and circuits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.kernel.build import behaviours_of
from seqcheck.language.expression import And, Expression, Name, Not, Or, names_in
from seqcheck.language.sequence import Circuit, Sequence
from seqcheck.plant.behaviour import Behaviour, Position

IMPERATIVE = {
    "presses": "press",
    "releases": "let go of",
    "pulls": "pull out",
    "opens": "open",
    "closes": "close",
    "enters": "reach into",
    "leaves": "clear",
    "replaced": "replace",
    "runs_low": "run low",
    "runs_out": "run out",
}
"""Acts of devices as somebody is told to do them; others stand as they are called."""

DEPTH = 3
"""Circuits behind circuits that are followed."""

Wanted = tuple[str, bool]
"""A name in a condition, and the value that it shall take."""


def act_text(device: str, act: str) -> str:
    """`press stop`."""
    known = IMPERATIVE.get(act)
    return f"{known} {device}" if known else f"act on {device}: {act.replace('_', ' ')}"


def wanted_names(condition: Expression, value: bool = True) -> Iterator[Wanted]:
    """The names that take part in making `condition` come to `value`, each with the value that helps."""
    match condition:
        case Name(text=text):
            yield text, value
        case Not(operand=operand):
            yield from wanted_names(operand, not value)
        case And(operands=operands) | Or(operands=operands):
            for operand in operands:
                yield from wanted_names(operand, value)
        case _:
            yield from ((name.text, value) for name in names_in(condition))


@dataclass(frozen=True, slots=True)
class Ways:
    """Ways to change names at one machine."""

    sequence: Sequence
    behaviours: tuple[Behaviour, ...]

    def text(self, name: str, value: bool, depth: int = DEPTH) -> str:
        """How `name` comes to `value`, as a sentence without its full stop."""
        state = f"{name} {'on' if value else 'off'}"
        step = self._step(name)
        if step:
            return f"bring the machine to step {step}" if value else f"let the machine leave step {step}"
        circuit = self._circuit(name)
        if circuit is not None and depth:
            return f"{state}: {self._of_circuit(circuit, value, depth)}"
        behaviour, role = self._device(name)
        if behaviour is None:
            return f"{state}: the program sets it; run the sequence to where it does"
        acts = acts_that(behaviour, role, value)
        if acts:
            return f"{state}: {' or '.join(act_text(behaviour.device, act) for act in acts)}"
        if not value and any(wire.role == role for wire in behaviour.wires):
            return f"{state}: open its wire at the terminal with a test switch"
        return f"{state}: run the sequence until {behaviour.device} gets there"

    def _step(self, name: str) -> str:
        for chart in self.sequence.charts:
            for step in chart.steps:
                if name == f"{chart.name}.{step.name}.X":
                    return f"{chart.name}.{step.name}"
        return ""

    def _circuit(self, name: str) -> Circuit | None:
        return next((one for one in self.sequence.circuits if name in (one.signal, f"{one.name}.is_on")), None)

    def _of_circuit(self, circuit: Circuit, value: bool, depth: int) -> str:
        parts = [part for channel in circuit.channels for part in wanted_names(channel, value)]
        texts = [self.text(name, wanted, depth - 1) for name, wanted in dict.fromkeys(parts)]
        if not value:
            return f"take away a channel of {circuit.name} ({'; or '.join(texts)})"
        reset = f", then reset ({', '.join(name.text for name in names_in(circuit.reset))})" if circuit.reset else ""
        return f"give {circuit.name} all its channels ({'; '.join(texts)}){reset}"

    def _device(self, name: str) -> tuple[Behaviour | None, str]:
        for behaviour in self.behaviours:
            for wire in behaviour.wires:
                if wire.signal.name == name:
                    return behaviour, wire.role
            if name.startswith(f"{behaviour.device}."):
                return behaviour, name.removeprefix(f"{behaviour.device}.")
        return None, ""


def acts_that(behaviour: Behaviour, role: str, value: bool) -> tuple[str, ...]:
    """Acts of people that bring the fact or contact `role` of a sound device to `value`."""
    sound = {position.name: position for position in behaviour.positions if position.mode == ""}
    found = (
        move.act
        for position in sound.values()
        for move in position.moves
        if move.act and move.to in sound and _has(position, role) != value and _has(sound[move.to], role) == value
    )
    return tuple(dict.fromkeys(found))


def ways_of(sequence: Sequence) -> Ways:
    """The ways at the machine of `sequence`."""
    return Ways(sequence, tuple(behaviours_of(sequence)))


def _has(position: Position, role: str) -> bool:
    return role in position.signals or role in position.facts
