"""The charts of a file: steps with actions, watchdog, prompt and ways out, and ways out of any step.

    charts:
      splice:
        ready:   {initial: true, next: {filling: splice_request AND hood_closed}}
        filling: {do: [fill_accumulator], within: 30 s, alarm: fill_late, next: {ready: accumulator_full}}
        any step but ready: {next: {ready: NOT hood_closed}}

`next` maps targets to conditions, first wins; a list of `{to:, if:}` lets two conditions lead to one target.
"""

from __future__ import annotations

import re

from seqcheck.language.document import ListNode, MapNode, Node, Scalar
from seqcheck.language.sequence import Chart, CommonTransitions, Step, Transition, Watchdog
from seqcheck.reader.actions import read_actions
from seqcheck.reader.condition import read_condition
from seqcheck.reader.field_value import read_positive_time
from seqcheck.reader.limits import MOST_CHARTS, MOST_STEPS, MOST_TRANSITIONS
from seqcheck.reader.plain_value import (
    check_count,
    check_keys,
    read_map,
    read_name,
    read_text,
    read_truth,
    split_names,
)
from seqcheck.reader.problem_log import ProblemLog

STEP_KEYS = ("initial", "do", "within", "alarm", "prompt", "retained", "next")
ANY_STEP_PATTERN = r"any step(?: but (?P<excepted>.+))?"
"""The name of an entry of a chart whose ways out leave any step, or any but some."""

_ANY_STEP = re.compile(ANY_STEP_PATTERN)


def read_charts(node: Node | None, log: ProblemLog) -> tuple[Chart, ...]:
    """Return all charts in the order of the file; what is wrong in them is left out."""
    charts = None if node is None else read_map(node, "a map of charts", log)
    if charts is None:
        return ()
    if not charts.entries:
        log.note(charts.place, "at least one chart", "none")
    check_count(charts.place, len(charts.entries), MOST_CHARTS, "charts", log)
    return tuple(_chart(key, value, log) for key, value in charts.entries[:MOST_CHARTS])


def _chart(key: Scalar, node: Node, log: ProblemLog) -> Chart:
    name = read_name(key, "the name of a chart", log) or key.text
    owner = read_map(node, f"a map of steps for the chart {name}", log)
    entries = owner.entries if owner else ()
    check_count(key.place, len(entries), MOST_STEPS, f"steps in chart {name}", log)
    own = [entry for entry in entries[:MOST_STEPS] if _is_step(entry[0])]
    common = [entry for entry in entries[:MOST_STEPS] if not _is_step(entry[0])]
    names = tuple(step_key.text for step_key, _ in own)
    steps = tuple(_step(step_key, value, names, log) for step_key, value in own)
    _check_initial(key, steps, owner is not None, log)
    return Chart(
        name=name,
        place=key.place,
        steps=steps,
        common=tuple(_common(common_key, value, names, log) for common_key, value in common),
    )


def _is_step(key: Scalar) -> bool:
    return not key.text.startswith("any ")


def _check_initial(chart: Scalar, steps: tuple[Step, ...], is_map: bool, log: ProblemLog) -> None:
    initial = [step.name for step in steps if step.initial]
    if is_map and len(initial) != 1:
        found = f"{len(initial)} ({', '.join(initial)})" if initial else "none"
        log.note(chart.place, f"exactly one step with 'initial: true' in chart {chart.text}", found)


def _step(key: Scalar, node: Node, steps: tuple[str, ...], log: ProblemLog) -> Step:
    name = read_name(key, "the name of a step", log) or key.text
    owner = read_map(node, f"a map for the step {name}, e.g. {{do: [...], next: {{...}}}}", log)
    if owner is None:
        return Step(name=name, place=key.place)
    check_keys(owner, STEP_KEYS, f"a field of step {name}", log)
    initial, prompt, retained = (owner.get(key_name) for key_name in ("initial", "prompt", "retained"))
    return Step(
        name=name,
        place=key.place,
        initial=initial is not None and read_truth(initial, "a word for 'initial'", log) is not False,
        actions=read_actions(owner.get("do"), log),
        watchdog=_watchdog(owner, log),
        transitions=_transitions(owner.get("next"), steps, log),
        prompt=None if prompt is None else read_text(prompt, "what the operator is asked to do", log),
        retained=retained is not None and read_truth(retained, "a word for 'retained'", log) is True,
    )


def _watchdog(owner: MapNode, log: ProblemLog) -> Watchdog | None:
    within, alarm = owner.get("within"), owner.get("alarm")
    if within is None:
        if alarm is not None:
            log.note(alarm.place, "'within' beside 'alarm'", "nothing")
        return None
    limit_us = read_positive_time(within, "'within'", log)
    if alarm is None:
        log.note(within.place, "'alarm' beside 'within' (the alarm raised when the time is over)", "nothing")
        return None
    name = read_text(alarm, "the name of an alarm", log)
    if name is None or limit_us is None:
        return None
    return Watchdog(limit_us=limit_us, alarm=name, place=alarm.place)


def _transitions(node: Node | None, steps: tuple[str, ...], log: ProblemLog) -> tuple[Transition, ...]:
    if node is None:
        return ()
    if isinstance(node, ListNode):
        check_count(node.place, len(node.items), MOST_TRANSITIONS, "ways out of a step", log)
        read = [_listed(item, steps, log) for item in node.items[:MOST_TRANSITIONS]]
    else:
        ways = read_map(node, "a map of target: condition, or a list of {to:, if:}", log)
        entries = ways.entries if ways else ()
        check_count(node.place, len(entries), MOST_TRANSITIONS, "ways out of a step", log)
        read = [_transition(key, value, steps, log) for key, value in entries[:MOST_TRANSITIONS]]
    return tuple(transition for transition in read if transition is not None)


def _listed(node: Node, steps: tuple[str, ...], log: ProblemLog) -> Transition | None:
    way = read_map(node, "a way out {to: step, if: condition}", log)
    if way is None:
        return None
    check_keys(way, ("to", "if"), "a field of a way out (to, if)", log)
    target, condition = way.get("to"), way.get("if")
    if target is None or condition is None:
        log.note(way.place, "'to' and 'if' in a way out", "only one" if way.entries else "nothing")
        return None
    name = read_text(target, "the name of a step", log)
    return None if name is None else _transition(Scalar(target.place, name), condition, steps, log)


def _transition(target: Scalar, node: Node, steps: tuple[str, ...], log: ProblemLog) -> Transition | None:
    if target.text not in steps:
        log.unknown(target.place, "a step of this chart", target.text, steps)
    condition = read_condition(node, log)
    if condition is None:
        return None
    return Transition(target=target.text, condition=condition, place=target.place)


def _common(key: Scalar, node: Node, steps: tuple[str, ...], log: ProblemLog) -> CommonTransitions:
    excepted = _excepted(key, steps, log)
    owner = read_map(node, f"a map {{next: ...}} for {key.text!r}", log)
    if owner is None:
        return CommonTransitions(excepted=excepted, transitions=(), place=key.place)
    check_keys(owner, ("next",), f"a field of {key.text!r} (next)", log)
    if owner.get("next") is None:
        log.note(key.place, f"'next' in {key.text!r}", "nothing")
    transitions = _transitions(owner.get("next"), steps, log)
    return CommonTransitions(excepted=excepted, transitions=transitions, place=key.place)


def _excepted(key: Scalar, steps: tuple[str, ...], log: ProblemLog) -> tuple[str, ...]:
    match = _ANY_STEP.fullmatch(key.text)
    if match is None:
        log.note(key.place, "'any step' or 'any step but ready, faulted'", repr(key.text))
        return ()
    listed = match["excepted"]
    if listed is None:
        return ()
    names = split_names(key.part(match.start("excepted"), listed))
    for name in names:
        if name.text not in steps:
            log.unknown(name.place, "a step of this chart", name.text, steps)
    return tuple(name.text for name in names)
