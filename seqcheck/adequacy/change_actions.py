"""Changes of actions: one dropped, a reset dropped, an output left on in the step after."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seqcheck.adequacy.change import Change, ChangeKind, InSteps, Subject, with_step
from seqcheck.language.sequence import Action, Chart, Sequence, Step
from seqcheck.reader.usage import outputs_of


def action_changes(sequence: Sequence) -> Iterator[Change]:
    """Each action dropped, and each output left on where a step that drives it leads to one that does not."""
    for chart in sequence.charts:
        for step in chart.steps:
            for number, action in enumerate(step.actions):
                yield _dropped(sequence, chart, step, number, action)
        yield from _extensions(sequence, chart)


def _dropped(sequence: Sequence, chart: Chart, step: Step, number: int, action: Action) -> Change:
    actions = (*step.actions[:number], *step.actions[number + 1 :])
    is_reset = action.qualifier == "R"
    return _change(
        ChangeKind.DROP_RESET if is_reset else ChangeKind.DROP_ACTION,
        with_step(sequence, chart, replace(step, actions=actions)),
        chart,
        step,
        action,
        f"{'reset of ' if is_reset else ''}{action.variable} dropped in {chart.name}.{step.name}",
    )


def _extensions(sequence: Sequence, chart: Chart) -> Iterator[Change]:
    steps = {step.name: step for step in chart.steps}
    outputs = outputs_of(sequence)
    done: set[tuple[str, str]] = set()
    for step in chart.steps:
        for action in step.actions:
            if action.qualifier != "N" or action.variable not in outputs:
                continue
            for way in chart.transitions_of(step):
                after = steps[way.target]
                drives = any(other.variable == action.variable for other in after.actions)
                if drives or (after.name, action.variable) in done:
                    continue
                done.add((after.name, action.variable))
                yield _extended(sequence, chart, after, action)


def _extended(sequence: Sequence, chart: Chart, step: Step, action: Action) -> Change:
    left_on = replace(action, place=step.place)
    return _change(
        ChangeKind.EXTEND_ACTION,
        with_step(sequence, chart, replace(step, actions=(*step.actions, left_on))),
        chart,
        step,
        left_on,
        f"{action.variable} left on in {chart.name}.{step.name}",
    )


def _change(kind: ChangeKind, changed: Sequence, chart: Chart, step: Step, action: Action, text: str) -> Change:
    before = {other.name for other in chart.steps for way in chart.transitions_of(other) if way.target == step.name}
    return Change(
        kind=kind,
        place=action.place,
        text=text,
        owner=chart.name,
        touched=InSteps(chart.name, frozenset({step.name, *before})),
        subject=Subject(chart=chart.name, target=step.name, variable=action.variable),
        sequence=changed,
    )
