"""The inputs and outputs of the controller, as a technician goes through them."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.diagrams.hazard import hazards_of_outputs, names_driving
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import TimeRange, format_time
from seqcheck.report.protocol import InputPoint, OutputPoint
from seqcheck.report.subjects import outputs_written
from seqcheck.report.ways import Ways, act_text, acts_that


def input_points(ways: Ways) -> tuple[InputPoint, ...]:
    """Every input, in the order of the devices."""
    return tuple(_inputs(ways))


def _inputs(ways: Ways) -> Iterator[InputPoint]:
    for behaviour in ways.behaviours:
        for wire in behaviour.wires:
            acts = (*acts_that(behaviour, wire.role, True), *acts_that(behaviour, wire.role, False))
            told = ", ".join(act_text(behaviour.device, act) for act in dict.fromkeys(acts))
            yield InputPoint(
                name=wire.signal.name,
                device=behaviour.device,
                contact=wire.role,
                delay=_range(wire.signal.delay),
                seen_by=told or f"let {behaviour.device} go through its positions",
            )


def output_points(sequence: Sequence, ways: Ways) -> tuple[OutputPoint, ...]:
    """Every output that a chart writes, in the order of the file."""
    hazards = hazards_of_outputs(sequence, ways.behaviours)
    return tuple(
        OutputPoint(
            name=name,
            drives=tuple(part.device for part in ways.behaviours if name in names_driving(part)),
            hazards=hazards.get(name, ()),
            steps=_steps(sequence, name),
        )
        for name in outputs_written(sequence)
    )


def _steps(sequence: Sequence, output: str) -> tuple[str, ...]:
    return tuple(
        f"{chart.name}.{step.name}"
        for chart in sequence.charts
        for step in chart.steps
        if any(action.variable == output for action in step.actions)
    )


def _range(delay: TimeRange | None) -> str:
    if delay is None:
        return ""
    latest = "any time" if delay.latest_us is None else format_time(delay.latest_us)
    return f"{format_time(delay.earliest_us)} to {latest}"
