"""Which steps wait for the machine without a watchdog: a broken switch would hold the sequence for ever.

A way out waits for an *operator* if it needs a signal of a device on which an operator acts to be other than
it is at the start (a button pressed, a guard opened); people may take their time. It waits for the *machine*
if it reads any other device's signal and does not wait for an operator.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import (
    And,
    Expression,
    Name,
    Not,
    Or,
    StepTime,
    TimerCall,
    Xor,
    names_in,
    walk,
)
from seqcheck.language.sequence import Sequence, Step
from seqcheck.plant.behaviour import Behaviour
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.reader.declarations import operator_acts
from seqcheck.reader.usage import inputs_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Inputs:
    """All inputs; `by_operator` those of devices on which an operator acts, with their value at the start."""

    every: frozenset[str]
    by_operator: dict[str, bool]


def inputs_by_operator(sequence: Sequence) -> Inputs:
    """Return the inputs of a sequence, told apart."""
    by_operator: dict[str, bool] = {}
    for behaviour in _behaviours(sequence):
        if operator_acts(behaviour):
            initial = next(position for position in behaviour.positions if position.name == behaviour.initial)
            by_operator.update({wire.signal.name: wire.role in initial.signals for wire in behaviour.wires})
    return Inputs(every=frozenset(inputs_of(sequence)), by_operator=by_operator)


def _behaviours(sequence: Sequence) -> Iterator[Behaviour]:
    for device in sequence.devices:
        try:
            yield DEVICE_TYPES[device.type_name].behaviour(device, sequence.machine)
        except SequenceFileError:
            continue  # the reader has refused such a device; a sequence made by hand may hold one


def waits_unwatched(step: Step, inputs: Inputs) -> bool:
    """Whether the step can wait for the machine for ever and nobody would be told."""
    if step.initial or step.watchdog is not None or step.prompt is not None:
        return False
    conditions = [transition.condition for transition in step.transitions]
    if any(_ends_by_time(condition, inputs) for condition in conditions):
        return False
    return any(_waits_for_machine(condition, inputs) for condition in conditions)


def _ends_by_time(condition: Expression, inputs: Inputs) -> bool:
    """Whether time alone makes it true: it, or one of its alternatives, has a time and reads no input."""
    alternatives = condition.operands if isinstance(condition, Or) else (condition,)
    return any(_is_timed(part) and not _reads_any(part, inputs.every) for part in alternatives)


def _is_timed(condition: Expression) -> bool:
    return any(
        isinstance(part, TimerCall) or (isinstance(part, StepTime) and part.at_least)
        for part in walk(condition)
    )


def _reads_any(condition: Expression, names: frozenset[str]) -> bool:
    return any(name.text in names for name in names_in(condition))


def _waits_for_machine(condition: Expression, inputs: Inputs) -> bool:
    machine = inputs.every - inputs.by_operator.keys()
    return _reads_any(condition, machine) and not _waits_for_operator(condition, inputs.by_operator)


def _waits_for_operator(condition: Expression, at_start: dict[str, bool]) -> bool:
    return any(
        name in at_start and at_start[name] is not wanted
        for name, wanted in _literals(condition, wanted=True)
    )


def _literals(condition: Expression, *, wanted: bool) -> Iterator[tuple[str, bool]]:
    """Yield each name with the value that helps the condition to be `wanted`."""
    match condition:
        case Name(_, text):
            yield text, wanted
        case Not(_, operand):
            yield from _literals(operand, wanted=not wanted)
        case And(_, operands) | Or(_, operands):
            for operand in operands:
                yield from _literals(operand, wanted=wanted)
        case Xor(_, operands):
            for operand in operands:
                yield from _literals(operand, wanted=True)
                yield from _literals(operand, wanted=False)
        case _:
            for name in names_in(condition):
                yield name.text, wanted
