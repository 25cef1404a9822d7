"""Why an output comes on and goes off, read from the charts: its steps, the ways into them and the ways out."""

from __future__ import annotations

from collections.abc import Iterator

from seqcheck.language.expression import And, Expression, to_text
from seqcheck.language.sequence import Chart, Sequence, Step, Transition

MOST_WAYS = 6
"""Ways told of one step."""


def output_sentences(sequence: Sequence, output: str, permissives: tuple[Expression, ...]) -> Iterator[str]:
    """Where the output is on, what each way in asks for, and what takes it away."""
    for chart in sequence.charts:
        for step in chart.steps:
            if any(action.variable == output for action in step.actions):
                yield from _step(chart, step, output, permissives)


def _step(chart: Chart, step: Step, output: str, permissives: tuple[Expression, ...]) -> Iterator[str]:
    name = f"{chart.name}.{step.name}"
    yield f"{output} is on in step {name}."
    ways = [(other, way) for other in chart.steps for way in chart.transitions_of(other) if way.target == step.name]
    for other, way in ways[:MOST_WAYS]:
        if any(action.variable == output for action in other.actions):
            continue
        yield _way_in(f"{chart.name}.{other.name}", name, way, permissives)
    out = [way for way in chart.transitions_of(step) if way.target != step.name]
    texts = [f"to {way.target} when {to_text(way.condition)}" for way in out[:MOST_WAYS]]
    if texts:
        yield f"It is left {'; '.join(texts)}."


def _way_in(source: str, target: str, way: Transition, permissives: tuple[Expression, ...]) -> str:
    stated = way.condition.operands if isinstance(way.condition, And) else (way.condition,)
    here = [to_text(part) for part in permissives if part in stated]
    elsewhere = [to_text(part) for part in permissives if part not in stated]
    text = f"From {source} to {target} the way asks for {to_text(way.condition)}"
    if not permissives:
        return f"{text}."
    asked = f"; of the permissives it asks for {', '.join(here)} itself" if here else "; it asks for no permissive itself"
    return f"{text}{asked}" + (f", and {', '.join(elsewhere)} follows from what came before." if elsewhere else ".")
