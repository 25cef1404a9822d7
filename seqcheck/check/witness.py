"""From a path to a witness: times, a replay in the concrete simulator, and lines that a person can follow."""

from __future__ import annotations

from seqcheck.check.outcome import Witness, WitnessLine
from seqcheck.explore.layers import Path
from seqcheck.explore.witness import Constraint, schedule_of
from seqcheck.kernel.event import Cause, Edge
from seqcheck.kernel.network import Network
from seqcheck.kernel.schedule import Happening, Schedule
from seqcheck.kernel.state import State
from seqcheck.simulate.replay import Replay, replay
from seqcheck.simulate.scenario import scenario_of

NO_SCAN = "no placing of periodic scans attains it: the on-demand scan of the explorer allows more than a controller does"


def witness_of(
    explored: Network, replayed: Network, path: Path, extra: tuple[tuple[Constraint, ...], ...] = ((),)
) -> tuple[Witness, Replay | None]:
    """The witness of a path, with its replay. Of several sets of `extra` constraints the first that can be met counts."""
    for constraints in extra:
        schedule = schedule_of(explored, path, constraints)
        if schedule is not None:
            outcome = replay(replayed, schedule)
            shown = outcome.run.schedule if outcome.confirmed else schedule
            network = replayed if outcome.confirmed else explored
            return _witness(network, shown, path, outcome.confirmed, outcome.reason), outcome
    return _witness(explored, _untimed(path), path, False, NO_SCAN), None


def _untimed(path: Path) -> Schedule:
    happenings = tuple(Happening(time_us=0, earliest_us=0, latest_us=None, edge=edge) for edge in path.edges)
    return Schedule(start=path.start, happenings=happenings)


def _witness(network: Network, schedule: Schedule, path: Path, confirmed: bool, reason: str) -> Witness:
    return Witness(
        lines=witness_lines(network, schedule),
        confirmed=confirmed,
        reason=reason,
        schedule=schedule,
        faults=sum(len(edge.event.faults) for edge in path.edges),
        acts=sum(len(edge.event.acts) for edge in path.edges),
        end_us=_end_us(schedule),
        scenario=scenario_of(network, schedule, "a run told by a check", (), _end_us(schedule)) if confirmed else None,
    )


def _end_us(schedule: Schedule) -> int:
    return schedule.happenings[-1].time_us if schedule.happenings else 0


def witness_lines(network: Network, schedule: Schedule) -> tuple[WitnessLine, ...]:
    """One line for everything that happens but reads that change nothing and limits of other monitors."""
    lines = []
    before = schedule.start
    for happening in schedule.happenings:
        line = _line(network, before, happening)
        if line is not None:
            lines.append(line)
        before = happening.edge.target
    return tuple(lines)


def _line(network: Network, before: State, happening: Happening) -> WitnessLine | None:
    edge = happening.edge
    event = edge.event
    if event.cause is Cause.READ and not edge.entered and not _shows(network, before, edge):
        return None
    return WitnessLine(
        time_us=happening.time_us,
        earliest_us=happening.earliest_us,
        latest_us=happening.latest_us,
        what=event_text(edge),
        steps=steps_in(network, edge.target),
        outputs=_changed_outputs(network, before, edge.target),
        is_failure=bool(event.faults),
        is_act=bool(event.acts),
    )


def _shows(network: Network, before: State, edge: Edge) -> bool:
    """Whether a read that enters no step is worth a line: it computes other outputs, an alarm changes, or something fails."""
    after = edge.target
    alarms = network.alarms_in(before.memory) != network.alarms_in(after.memory)
    return after.computed != before.computed or alarms or bool(edge.event.faults)


def event_text(edge: Edge) -> str:
    """What happened, in a sentence."""
    event = edge.event
    match event.cause:
        case Cause.READ:
            text = f"controller reads: {event.action}" if edge.entered else "controller reads"
        case Cause.WRITE:
            text = f"outputs written: {event.action}"
        case Cause.TIMER:
            text = f"time runs out: {event.subject}"
        case Cause.MOVE:
            text = f"{event.subject} is now {event.action.replace('_', ' ')}"
        case Cause.FAULT:
            text = f"FAILURE: {event.action}" if event.subject in event.action else f"FAILURE: {event.subject} {event.action}"
        case Cause.AGE:
            text = f"the limit of {event.subject} has passed"
        case _:
            text = f"{event.subject} {event.action}"
    seen = [f"{device} {act}" for device, act in event.acts] if event.cause is Cause.READ else []
    failed = [] if event.cause is Cause.FAULT else [f"FAILURE {fault}" for fault in event.faults]
    return "; ".join([*failed, *seen, text])


def steps_in(network: Network, state: State) -> tuple[str, ...]:
    """The active step of each chart, as `chart.step`."""
    return tuple(
        f"{chart.name}.{chart.step_names[state.memory[chart.number]]}" for chart in network.controller.charts
    )


def _changed_outputs(network: Network, before: State, after: State) -> tuple[str, ...]:
    on = network.outputs_in(after.written & ~before.written)
    off = network.outputs_in(before.written & ~after.written)
    changed = (*(f"{name} on" for name in on), *(f"{name} off" for name in off))
    return (*changed, *alarm_changes(network, before, after))


def alarm_changes(network: Network, before: State, after: State) -> tuple[str, ...]:
    """Alarms raised and cleared by a read."""
    were, are = network.alarms_in(before.memory), network.alarms_in(after.memory)
    raised = (f"alarm {name} on" for name in are if name not in were)
    return (*raised, *(f"alarm {name} off" for name in were if name not in are))
