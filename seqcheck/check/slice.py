"""Leave out what cannot influence a requirement: devices, circuits, charts, alarms and flags outside its cone of influence.

X influences Y if a condition of Y names a signal or fact of X, an output, flag or alarm that chart X writes, or a step of X.
A device that depends on itself, through others or not, stays in any case: it might stop time, and with time stopped every
limit would hold.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.build_watch import conditions_of
from seqcheck.kernel.observer import (
    DrawMonitor,
    Enters,
    Fails,
    Monitor,
    PrecedenceMonitor,
    ReadMonitor,
    StopwatchMonitor,
)
from seqcheck.language.expression import Expression, Name, StepTime, walk
from seqcheck.language.sequence import Chart, Sequence
from seqcheck.plant.behaviour import Behaviour


@dataclass(frozen=True, slots=True)
class Influence:
    """Who owns each name, and which names each owner depends on. Owners are devices, circuits, charts and alarms."""

    owners: dict[str, tuple[str, ...]]
    depends: dict[str, frozenset[str]]
    machine: frozenset[str]
    """The owners that are devices or circuits."""

    def cone(self, names: frozenset[str]) -> frozenset[str]:
        """Every owner that can influence one of `names`."""
        reached: set[str] = set()
        waiting = [owner for name in names for owner in self._owners_of(name)]
        while waiting:
            owner = waiting.pop()
            if owner not in reached:
                reached.add(owner)
                waiting.extend(more for name in self.depends[owner] for more in self._owners_of(name))
        return frozenset(reached)

    def _owners_of(self, name: str) -> tuple[str, ...]:
        first = name.split(".")[0]
        return self.owners.get(name) or ((first,) if first in self.depends else ())


def sliced(
    sequence: Sequence,
    monitors: tuple[Monitor, ...],
    more: tuple[Expression, ...] = (),
    devices: tuple[str, ...] = (),
) -> Sequence:
    """The sequence without what cannot influence `monitors`, the conditions `more`, or `devices`."""
    influence = influence_in(sequence)
    names = frozenset(name for monitor in monitors for name in names_watched(monitor))
    names |= {name for condition in more for name in _names(condition)}
    names |= {f"{device}.any" for device in devices}
    kept = influence.cone(names | _self_dependent(influence))
    if not any(chart.name in kept for chart in sequence.charts):
        return sequence
    return replace(
        sequence,
        devices=tuple(device for device in sequence.devices if device.name in kept),
        circuits=tuple(circuit for circuit in sequence.circuits if circuit.name in kept),
        charts=tuple(_without_unkept(chart, sequence, kept) for chart in sequence.charts if chart.name in kept),
        alarms=tuple(alarm for alarm in sequence.alarms if alarm.name in kept),
        flags=tuple(flag for flag in sequence.flags if flag.name in kept),
    )


def _without_unkept(chart: Chart, sequence: Sequence, kept: frozenset[str]) -> Chart:
    """The chart without actions on flags and alarms that are left out, and without watchdogs of such alarms."""
    memory = {flag.name for flag in sequence.flags} | {alarm.name for alarm in sequence.alarms}
    gone = memory - kept
    steps = tuple(
        replace(
            step,
            actions=tuple(action for action in step.actions if action.variable not in gone),
            watchdog=None if step.watchdog is None or step.watchdog.alarm in gone else step.watchdog,
        )
        for step in chart.steps
    )
    return replace(chart, steps=steps)


def names_watched(monitor: Monitor) -> tuple[str, ...]:
    """Every name that a monitor looks at."""
    found = [name for condition in conditions_of(monitor) for name in _names(condition)]
    match monitor:
        case ReadMonitor():
            found += [monitor.output, *_names(monitor.needs)]
        case DrawMonitor():
            found += [f"{device}.any" for device in (monitor.unwind, monitor.line, monitor.accumulator)]
        case StopwatchMonitor():
            moments = (*monitor.start, *monitor.end, *monitor.cancel)
            found += [_moment_name(moment) for moment in moments if not isinstance(moment, Enters)]
            found += [f"{moment.chart}.{moment.step}.X" for moment in moments if isinstance(moment, Enters)]
        case PrecedenceMonitor():
            moments = (*monitor.first, *monitor.second, *monitor.since)
            found += [f"{moment.chart}.{moment.step}.X" for moment in moments if isinstance(moment, Enters)]
    return tuple(name for name in found if name)


def _moment_name(moment: object) -> str:
    return moment.failure if isinstance(moment, Fails) else ""


def influence_in(sequence: Sequence) -> Influence:
    """The influences in a sequence."""
    owners: dict[str, tuple[str, ...]] = {}
    depends: dict[str, frozenset[str]] = {}
    for behaviour in behaviours_of(sequence):
        depends[behaviour.device] = _behaviour_names(behaviour)
        for wire in behaviour.wires:
            owners[wire.signal.name] = (behaviour.device,)
    machine = frozenset(depends)
    for alarm in sequence.alarms:
        depends[alarm.name] = frozenset(_names(alarm.clear))
    for flag in sequence.flags:
        depends[flag.name] = frozenset()
    for chart in sequence.charts:
        depends[chart.name] = _chart_names(chart)
        for step in chart.steps:
            if step.watchdog is not None:
                # Whoever sees that the watchdog has expired needs the watchdog, which needs its alarm.
                owners[f"{chart.name}.{step.name}.late"] = (chart.name, step.watchdog.alarm)
        for variable in _written_by(chart):
            before = owners.get(variable, (variable,) if variable in depends else ())
            owners[variable] = (*before, chart.name)
    return Influence(owners, depends, machine)


def _behaviour_names(behaviour: Behaviour) -> frozenset[str]:
    return frozenset(name for drive in behaviour.drives for name in _names(drive.condition))


def _chart_names(chart: Chart) -> frozenset[str]:
    ways = [way for step in chart.steps for way in chart.transitions_of(step)]
    return frozenset(name for way in ways for name in _names(way.condition))


def _written_by(chart: Chart) -> set[str]:
    actions = {action.variable for step in chart.steps for action in step.actions}
    return actions | {step.watchdog.alarm for step in chart.steps if step.watchdog is not None}


def _names(condition: Expression) -> tuple[str, ...]:
    parts = list(walk(condition))
    named = [part.text for part in parts if isinstance(part, Name)]
    return (*named, *(f"{part.step}.X" for part in parts if isinstance(part, StepTime)))


def _self_dependent(influence: Influence) -> frozenset[str]:
    """Names of devices and circuits that depend on themselves without a chart between: charts wait for reads, which take time."""
    direct = {
        owner: frozenset(name.split(".")[0] for name in names if ".is_" in name) | _signal_owners(influence, names)
        for owner, names in influence.depends.items()
        if owner in influence.machine
    }
    return frozenset(f"{owner}.any" for owner in direct if owner in _reached_from(direct, owner))


def _signal_owners(influence: Influence, names: frozenset[str]) -> frozenset[str]:
    return frozenset(owner for name in names if "." not in name for owner in influence.owners.get(name, ()))


def _reached_from(direct: dict[str, frozenset[str]], start: str) -> set[str]:
    """Everything that `start` depends on through devices and circuits."""
    reached: set[str] = set()
    waiting = list(direct[start])
    while waiting:
        owner = waiting.pop()
        if owner not in reached:
            reached.add(owner)
            waiting.extend(direct.get(owner, ()))
    return reached
