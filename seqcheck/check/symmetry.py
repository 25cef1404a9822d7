"""Symmetry: where two copies really are equal, what is proven of one is proven of the other.

They are equal if the part of the sequence that can influence a requirement is the same with their names exchanged, but for
orders that cannot matter. Orders that can matter are those of charts that read one another's steps (the later one sees what the
earlier has just taken), of devices that follow one another (they settle in the order of the file), and of the ways out of a step.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import replace

from seqcheck.check.exchange import NOTHING, Exchange, exchanges
from seqcheck.check.group import monitors_of
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.check.slice import sliced
from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.condition import names_of
from seqcheck.language.expression import StepTime, walk
from seqcheck.language.sequence import (
    Chart,
    Circuit,
    CommonTransitions,
    Device,
    Requirement,
    Sequence,
    Step,
)
from seqcheck.plant.behaviour import Behaviour
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS
from seqcheck.requirements.recovery import acts_of, begins_when


def is_symmetric(sequence: Sequence, exchange: Exchange) -> bool:
    """Whether the sequence with the names exchanged means the same."""
    if _plain_sequence(sequence, exchange) != _plain_sequence(sequence, NOTHING):
        return False
    charts = [(chart.name, _chart_reads(chart)) for chart in sequence.charts]
    return _order_is_free(charts, exchange) and _order_is_free(_device_reads(sequence), exchange)


def proven_with(
    sequence: Sequence, requirements: tuple[Requirement, ...]
) -> dict[str, tuple[Requirement, Exchange]]:
    """By id, each requirement that is the image of an earlier one under an exchange of equal copies, and that one."""
    found: dict[str, tuple[Requirement, Exchange]] = {}
    known: list[Requirement] = []
    candidates = exchanges(sequence.copies)
    for requirement in requirements if candidates else ():
        if not _may_be_image(requirement):
            continue
        own = _plain_requirement(requirement, sequence, NOTHING)
        pairs = ((part, swap) for part in known if part.kind == requirement.kind for swap in candidates)
        images = (pair for pair in pairs if _plain_requirement(pair[0], sequence, pair[1]) == own)
        image = next((pair for pair in images if is_symmetric(_part(sequence, pair[0], requirement), pair[1])), None)
        if image is None:
            known.append(requirement)
        else:
            found[requirement.id] = image
    return found


def _part(sequence: Sequence, first: Requirement, second: Requirement) -> Sequence:
    """The part of the sequence that can influence either requirement: only in it must the copies be equal."""
    both = (first, second)
    monitors = tuple(monitor for part in both for monitor in monitors_of(part, sequence))
    acts = tuple(act for part in both for act in acts_of(part))
    begins = tuple(begins_when(part, sequence) for part in both if acts_of(part))
    return sliced(sequence, monitors, begins, tuple(act.device for act in acts))


def by_symmetry(requirement: Requirement, proven: RequirementOutcome, exchange: Exchange) -> RequirementOutcome:
    """The outcome of `requirement`, the image of the one that was `proven` without a run to show."""
    assert proven.witness is None, "a run is of one copy; the other's own is looked for"
    words = f"by symmetry with {proven.requirement.id}"
    return replace(
        proven,
        requirement=requirement,
        reason=f"{exchange.text(proven.reason)}, {words}" if proven.reason else words,
        hypothesis=exchange.text(proven.hypothesis),
        measures=tuple(replace(part, quantity=exchange.text(part.quantity)) for part in proven.measures),
        untested=tuple(exchange.text(text) for text in proven.untested),
        latent=tuple(exchange.text(text) for text in proven.latent),
        classes=0,
        states=0,
        transitions=0,
        symmetric_to=proven.requirement.id,
    )


# -- requirements --------------------------------------------------------------------------------------------


def _may_be_image(requirement: Requirement) -> bool:
    """Kinds that numbers of the machine decide are quick, and may speak of a device without naming it."""
    kind = REQUIREMENT_KINDS[requirement.kind]
    return kind.figures is None and kind.measured is None


def _plain_requirement(requirement: Requirement, sequence: Sequence, exchange: Exchange) -> Hashable:
    """What is asked, as plain data: its fields, and what watches for it, which names what the fields leave open."""
    monitors = (replace(part, requirement="") for part in monitors_of(requirement, sequence))
    given = requirement.given
    return (
        _set((entry.name, exchange.plain(entry.value)) for entry in requirement.entries),
        _set(exchange.plain(part) for part in monitors),
        (requirement.under.count, requirement.under.controller, _set(map(exchange.text, requirement.under.named))),
        None if given.allowed is None else _set(map(exchange.text, given.allowed)),
        _set((exchange.text(device), word) for device, word in given.still),
        requirement.start_anywhere,
    )


def _set(parts: Iterator[Hashable]) -> frozenset[Hashable]:
    return frozenset(parts)


# -- the sequence --------------------------------------------------------------------------------------------


def _plain_sequence(sequence: Sequence, exchange: Exchange) -> Hashable:
    """What the sequence does, as plain data without the orders of its parts."""
    return (
        exchange.plain(sequence.scan),
        exchange.plain(sequence.machine),
        _set(_plain_device(device, exchange) for device in sequence.devices),
        _set(_plain_circuit(circuit, exchange) for circuit in sequence.circuits),
        _set(exchange.plain(flag) for flag in sequence.flags),
        _set((exchange.text(alarm.name), exchange.plain(alarm.clear)) for alarm in sequence.alarms),
        _set(_plain_chart(chart, exchange) for chart in sequence.charts),
    )


def _plain_device(device: Device, exchange: Exchange) -> Hashable:
    return (
        exchange.text(device.name),
        device.type_name,
        _set((entry.name, exchange.plain(entry.value)) for entry in device.entries),
        _set(iter(device.excluded_failures)),
        _set(iter(device.intermittent_failures)),
    )


def _plain_circuit(circuit: Circuit, exchange: Exchange) -> Hashable:
    rest = exchange.plain(replace(circuit, channels=()))
    return _set(map(exchange.plain, circuit.channels)), rest


def _plain_chart(chart: Chart, exchange: Exchange) -> Hashable:
    return (
        exchange.text(chart.name),
        _set(_plain_step(step, exchange) for step in chart.steps),
        tuple(_plain_common(group, exchange) for group in chart.common),
    )


def _plain_step(step: Step, exchange: Exchange) -> Hashable:
    return (
        exchange.text(step.name),
        step.initial,
        step.retained,
        tuple(sorted((exchange.plain(action) for action in step.actions), key=repr)),
        exchange.plain(step.watchdog),
        exchange.plain(step.transitions),
    )


def _plain_common(group: CommonTransitions, exchange: Exchange) -> Hashable:
    return (_set(map(exchange.text, group.excepted)), exchange.plain(group.transitions))


# -- orders that may matter ----------------------------------------------------------------------------------


def _order_is_free(parts: list[tuple[str, frozenset[str]]], exchange: Exchange) -> bool:
    """Whether no part whose place beside another is changed reads it or is read by it. `parts`: in order, with what each reads."""
    places = {name: number for number, (name, _) in enumerate(parts)}
    for number, (name, reads) in enumerate(parts):
        for other, other_reads in parts[number + 1 :]:
            is_turned = places[exchange.text(name)] > places[exchange.text(other)]
            if is_turned and (other in reads or name in other_reads):
                return False
    return True


def _chart_reads(chart: Chart) -> frozenset[str]:
    """First parts of the names in a chart's conditions: charts whose steps it reads are among them."""
    ways = [way for step in chart.steps for way in chart.transitions_of(step)]
    names = {name for way in ways for name in names_of(way.condition)}
    steps = {part.step for way in ways for part in walk(way.condition) if isinstance(part, StepTime)}
    return frozenset(name.split(".")[0] for name in names | steps if "." in name)


def _device_reads(sequence: Sequence) -> list[tuple[str, frozenset[str]]]:
    behaviours = behaviours_of(sequence)
    owners = {wire.signal.name: part.device for part in behaviours for wire in part.wires}
    return [(part.device, _followed(part, owners)) for part in behaviours]


def _followed(behaviour: Behaviour, owners: dict[str, str]) -> frozenset[str]:
    names = (name for drive in behaviour.drives for name in names_of(drive.condition))
    return frozenset(owners.get(name, name.split(".")[0]) for name in names)
