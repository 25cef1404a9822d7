"""The troubleshooting table: the fault table read from its alarms."""

from __future__ import annotations

from collections import Counter

from seqcheck.explore.node import Node, Step
from seqcheck.explore.time_loop import steps_taken
from seqcheck.language.expression import to_text
from seqcheck.language.sequence import Alarm
from seqcheck.report.exploration import Exploration
from seqcheck.report.fault_findings import AlarmTrace, FaultFindings
from seqcheck.report.troubleshooting import AlarmEntry, Suspect, Troubleshooting

MOST_ACTS = 4
"""Acts told for one alarm that comes without a failure: those that most often come last before it."""

Look = tuple[int, int]
"""Masks of inputs that can be on, and that can be off."""


def troubleshooting_of(exploration: Exploration, findings: FaultFindings) -> Troubleshooting:
    """One entry an alarm of the file."""
    acts = _acts_by_alarm(exploration)
    return Troubleshooting(
        tuple(_entry(alarm, exploration, findings, acts.get(alarm.name, ())) for alarm in exploration.sequence.alarms)
    )


def _entry(alarm: Alarm, exploration: Exploration, findings: FaultFindings, acts: tuple[str, ...]) -> AlarmEntry:
    traces = [trace for trace in findings.traces if trace.alarm == alarm.name]
    looks = _looks(traces)
    network = exploration.network
    inputs = [
        (bit, name)
        for bit, name in enumerate(network.signal_names)
        if not network.chosen_mask >> bit & 1 and len({_word(look, bit) for look in looks.values()}) > 1
    ]
    seen = {failure: tuple((name, _word(look, bit)) for bit, name in inputs) for failure, look in looks.items()}
    return AlarmEntry(
        alarm=alarm.name,
        text=alarm.text,
        clears_when=to_text(alarm.clear),
        without_fault=acts,
        inputs=tuple(name for _, name in inputs),
        suspects=tuple(_suspect(failure, seen, traces, exploration) for failure in sorted(looks)),
    )


def _looks(traces: list[AlarmTrace]) -> dict[int, Look]:
    found: dict[int, Look] = {}
    for trace in traces:
        on, off = found.get(trace.failure, (0, 0))
        found[trace.failure] = (on | trace.ever_on, off | trace.ever_off)
    return found


def _word(look: Look, bit: int) -> str:
    on, off = look[0] >> bit & 1, look[1] >> bit & 1
    return "either" if on and off else "on" if on else "off"


def _suspect(
    failure: int, seen: dict[int, tuple[tuple[str, str], ...]], traces: list[AlarmTrace], exploration: Exploration
) -> Suspect:
    modes = exploration.network.failures
    return Suspect(
        failure=modes[failure].name,
        meaning=modes[failure].text,
        steps=tuple(dict.fromkeys(trace.step for trace in traces if trace.failure == failure)),
        look_at=seen[failure],
        alike=tuple(
            modes[other].name
            for other in sorted(seen)
            if other != failure and all(_agree(mine, his) for mine, his in zip(seen[failure], seen[other], strict=True))
        ),
    )


def _agree(mine: tuple[str, str], his: tuple[str, str]) -> bool:
    """Whether some look at this input fits both."""
    return "either" in (mine[1], his[1]) or mine[1] == his[1]


def _acts_by_alarm(exploration: Exploration) -> dict[str, tuple[str, ...]]:
    """For each alarm that comes without a failure, the last act before it, over all ways in which it comes."""
    network = exploration.network
    found: dict[str, Counter[str]] = {}
    for node in exploration.base.nodes.values():
        before = network.alarms_in(node.core.state.memory)
        for step in steps_taken(node):
            if step.failures or step.edge.target.control is node.core.state.control:
                continue
            for alarm in network.alarms_in(step.edge.target.memory):
                if alarm not in before:
                    found.setdefault(alarm, Counter())[_last_act(exploration, node, step)] += 1
    return {alarm: tuple(act for act, _ in acts.most_common(MOST_ACTS)) for alarm, acts in found.items()}


def _last_act(exploration: Exploration, node: Node, step: Step) -> str:
    """The last act of somebody on a shortest way to this step."""
    base, last = exploration.base, step
    number = node.numbers[0]
    while True:
        if last.edge.event.acts:
            return " and ".join(f"{device} {act}" for device, act in last.edge.event.acts)
        number, before = base.parents[number]
        if not isinstance(before, Step):
            return "nothing but time"
        last = before
