"""The head of a review from the outcome of a check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, is_dataclass

from seqcheck.check.outcome import Outcome, RequirementOutcome
from seqcheck.kernel.build import behaviours_of
from seqcheck.language.sequence import Device, Sequence
from seqcheck.plant.behaviour import Behaviour
from seqcheck.quantities.time import TimeRange, format_time
from seqcheck.report.caution import CAUTION
from seqcheck.report.head import AssumedGroup, DeviceScope, Head, Scope
from seqcheck.report.review_options import ReviewOptions
from seqcheck.requirements.verdict import Verdict

SIGN_OFF = ("Prepared by, date", "Reviewed by, date", "Released by, date")


def head_of(outcome: Outcome, options: ReviewOptions) -> Head:
    """The head."""
    sequence = outcome.sequence
    return Head(
        sequence=sequence.name,
        revision=sequence.revision,
        note=sequence.note or "",
        files=options.files,
        version=options.version,
        date=options.date,
        scope=scope_of(outcome),
        holding=_ids(outcome, Verdict.HOLDS),
        violated=_ids(outcome, Verdict.VIOLATED),
        vacuous=_ids(outcome, Verdict.VACUOUS),
        undecided=_ids(outcome, Verdict.UNDECIDED),
        failure_modes=outcome.failure_modes,
        classes=outcome.classes,
        transitions=outcome.transitions,
        stopped=outcome.stopped,
        caution=CAUTION,
        sign_off=SIGN_OFF,
    )


def _ids(outcome: Outcome, verdict: Verdict) -> tuple[str, ...]:
    return tuple(judged.requirement.id for judged in outcome.requirements if judged.verdict is verdict)


def scope_of(outcome: Outcome) -> Scope:
    """What was assumed."""
    sequence = outcome.sequence
    return Scope(
        scan_period=range_text(sequence.scan.period),
        scan_write=range_text(sequence.scan.write),
        machine=tuple(_machine(sequence)),
        devices=tuple(_device(sequence, part) for part in behaviours_of(sequence)),
        groups=_groups(outcome.requirements),
        on_signals=tuple(
            judged.requirement.id
            for judged in outcome.requirements
            if judged.judged_on == "signals" and judged.requirement.severity == "safety"
        ),
    )


def range_text(times: TimeRange) -> str:
    """`8 ms to 10 ms`."""
    earliest = format_time(times.earliest_us)
    if times.latest_us is None:
        return f"{earliest} or later"
    return earliest if times.latest_us == times.earliest_us else f"{earliest} to {format_time(times.latest_us)}"


_UNITS = ("g_per_m2", "m_per_s", "mm", "kg", "n", "m")
_UNIT_TEXTS = {"g_per_m2": "g/m2", "m_per_s": "m/s", "mm": "mm", "kg": "kg", "n": "N", "m": "m"}


def _machine(sequence: Sequence) -> Iterator[tuple[str, str]]:
    for section in ("web", "line", "roll", "unwind", "rewind", "accumulator"):
        part = getattr(sequence.machine, section)
        if part is None or not is_dataclass(part) or isinstance(part, type):
            continue
        for name in asdict(part):
            value = getattr(part, name)
            if value is not None:
                yield _quantity(section, name, value)


def _quantity(section: str, name: str, value: object) -> tuple[str, str]:
    """`accumulator stroke`, `1.6 m`: the unit is the end of the name."""
    if isinstance(value, TimeRange):
        return f"{section} {name}", range_text(value)
    if name.endswith("_ratio") and isinstance(value, float):
        return f"{section} {name.removesuffix('_ratio')}", f"{value:.4g}".rstrip() if value > 10 else f"{value * 100:.4g} %"
    unit = next((unit for unit in _UNITS if name.endswith(f"_{unit}")), "")
    words = name.removesuffix(f"_{unit}").replace("_", " ") if unit else name.replace("_", " ")
    return f"{section} {words}", f"{value:g} {_UNIT_TEXTS.get(unit, '')}".strip() if isinstance(value, float | int) else str(value)


def _device(sequence: Sequence, behaviour: Behaviour) -> DeviceScope:
    device = sequence.device(behaviour.device)
    failures = tuple((part.name, part.text) for part in behaviour.failures)
    if device is None:
        circuit = next(part for part in sequence.circuits if part.name == behaviour.device)
        return DeviceScope(
            name=circuit.name,
            type_name="safety circuit",
            hazard=None,
            ranges=(("drop", range_text(circuit.drop)),),
            failures=failures,
        )
    return DeviceScope(
        name=device.name,
        type_name=device.type_name,
        hazard=device.hazard,
        ranges=tuple(_ranges(device)),
        failures=failures,
        excluded=device.excluded_failures,
        because=device.excluded_because or "",
        intermittent=device.intermittent_failures,
    )


def _ranges(device: Device) -> Iterator[tuple[str, str]]:
    for entry in device.entries:
        if isinstance(entry.value, TimeRange):
            yield entry.name, range_text(entry.value)
        elif isinstance(entry.value, int) and not isinstance(entry.value, bool):
            yield entry.name, format_time(entry.value)


def _groups(requirements: tuple[RequirementOutcome, ...]) -> tuple[AssumedGroup, ...]:
    found: dict[tuple[str, str, bool], list[str]] = {}
    for judged in requirements:
        key = (judged.hypothesis, judged.requirement.given.text, judged.requirement.start_anywhere)
        found.setdefault(key, []).append(judged.requirement.id)
    return tuple(
        AssumedGroup(hypothesis=hypothesis, given=given, start_anywhere=anywhere, requirements=tuple(ids))
        for (hypothesis, given, anywhere), ids in found.items()
    )
