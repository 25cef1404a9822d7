"""What a file says of alarms beyond raising and clearing, as charts: which came first, and which somebody has acknowledged.

    alarms: {knife_late: {text: ..., clear: fault_reset, acknowledge: RISING(ack_pressed)}}
    first_out: {reset: fault_reset}

Conditions read `knife_late.unacknowledged`, `knife_late.acknowledged` and `knife_late.first`. Each is a step of a chart that runs
after the file's own, so nothing is kept where nothing reads it. Source of the states: IEC 62682 (normal, unacknowledged,
acknowledged, returned unacknowledged; first-out), from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.errors import Place
from seqcheck.language.document import Node, Scalar
from seqcheck.language.expression import And, Expression, Name, Not
from seqcheck.language.sequence import Alarm, Chart, Step, Transition
from seqcheck.reader.condition import read_condition
from seqcheck.reader.plain_value import check_keys, read_map, read_names
from seqcheck.reader.problem_log import ProblemLog

FIRST_OUT_KEY = "first_out"
FIRST_OUT_KEYS = ("reset", "alarms")


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstOut:
    """The section `first_out`: what resets it, and its alarms; none named: all."""

    place: Place
    reset: Expression
    alarms: tuple[Scalar, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmCharts:
    """The charts, and by each name that conditions may read the step flag behind it."""

    charts: tuple[Chart, ...]
    flags: dict[str, str]


def read_first_out(node: Node | None, log: ProblemLog) -> FirstOut | None:
    """Return the section, None where there is none or it is not clear."""
    owner = None if node is None else read_map(node, "a map such as {reset: fault_reset}", log)
    if owner is None:
        return None
    check_keys(owner, FIRST_OUT_KEYS, "a field of first_out (reset, alarms)", log)
    reset, alarms = owner.get("reset"), owner.get("alarms")
    if reset is None:
        log.note(owner.place, "'reset' in first_out", "nothing")
        return None
    condition = read_condition(reset, log)
    named = () if alarms is None else read_names(alarms, "an alarm or a list of them", log)
    return None if condition is None else FirstOut(place=owner.place, reset=condition, alarms=named)


def alarm_charts(alarms: tuple[Alarm, ...], first_out: FirstOut | None, log: ProblemLog) -> AlarmCharts:
    """Return a chart for each alarm that is acknowledged, and one for which of them came first."""
    acknowledged = tuple(alarm for alarm in alarms if alarm.acknowledge is not None)
    charts = [_acknowledgement(alarm, alarm.acknowledge) for alarm in acknowledged if alarm.acknowledge is not None]
    flags = {
        f"{alarm.name}.{step}": f"{_chart_name(alarm)}.{step}.X"
        for alarm in acknowledged
        for step in ("unacknowledged", "acknowledged")
    }
    if first_out is not None:
        among = _among(alarms, first_out, log)
        charts.append(_first(among, first_out))
        flags |= {f"{alarm.name}.first": f"{FIRST_OUT_KEY}.{_first_step(alarm)}.X" for alarm in among}
    return AlarmCharts(charts=tuple(charts), flags=flags)


def _among(alarms: tuple[Alarm, ...], first_out: FirstOut, log: ProblemLog) -> tuple[Alarm, ...]:
    known = {alarm.name: alarm for alarm in alarms}
    for name in first_out.alarms:
        if name.text not in known:
            log.unknown(name.place, "an alarm", name.text, known)
    wanted = [name.text for name in first_out.alarms] or list(known)
    return tuple(known[name] for name in dict.fromkeys(wanted) if name in known)


def _chart_name(alarm: Alarm) -> str:
    return f"{alarm.name}_acknowledgement"


def _first_step(alarm: Alarm) -> str:
    return f"{alarm.name}_first"


def _acknowledgement(alarm: Alarm, acknowledge: Expression) -> Chart:
    """Unacknowledged from the alarm on, also after it has gone, until somebody acknowledges it.

    A condition without RISING lets a button that is held acknowledge what nobody has seen.
    """
    place = acknowledge.place
    on = Name(place, alarm.name)
    ways = {
        "quiet": (Transition(target="unacknowledged", condition=on, place=place),),
        "unacknowledged": (
            Transition(target="acknowledged", condition=And(place, (acknowledge, on)), place=place),
            Transition(target="quiet", condition=acknowledge, place=place),
        ),
        "acknowledged": (Transition(target="quiet", condition=Not(place, on), place=place),),
    }
    steps = (Step(name=name, place=place, initial=name == "quiet", transitions=own) for name, own in ways.items())
    return Chart(name=_chart_name(alarm), place=place, steps=tuple(steps))


def _first(alarms: tuple[Alarm, ...], first_out: FirstOut) -> Chart:
    """The first alarm is kept until the reset finds it gone. Of two at the same read the earlier in the file counts."""
    place = first_out.place
    begins = tuple(
        Transition(target=_first_step(alarm), condition=Name(alarm.place, alarm.name), place=place) for alarm in alarms
    )
    none = Step(name="no_alarm_first", place=place, initial=True, transitions=begins)
    return Chart(name=FIRST_OUT_KEY, place=place, steps=(none, *(_first_of(alarm, first_out) for alarm in alarms)))


def _first_of(alarm: Alarm, first_out: FirstOut) -> Step:
    gone = And(first_out.place, (first_out.reset, Not(first_out.place, Name(alarm.place, alarm.name))))
    way = Transition(target="no_alarm_first", condition=gone, place=first_out.place)
    return Step(name=_first_step(alarm), place=alarm.place, transitions=(way,))
