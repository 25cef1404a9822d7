"""Checks of faults, from the fault table: under each rig the failures it serves, in the steps in which they make a difference."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seqcheck.kernel.build import behaviours_of
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import format_time
from seqcheck.report.fault_table import FaultRow, FaultTable, Notice
from seqcheck.report.protocol import MachineCheck, SetUp, StepLine
from seqcheck.report.rig import Rig, rig_of

ROUTINE = (
    "Nobody within reach of anything that can move; local stop within reach of the tester.",
    "Bring the machine to the step named, then bring the fault about. Touch no control afterwards.",
    "Start the clock when the fault first makes a difference, which may be later than when it was brought about.",
    "Watch alarms, outputs and motions until the machine rests or the time looked at is over; write down what was seen.",
    "Take the fault away, reset, and see that the machine is sound before the next check.",
)
"""What is done in every check of a fault."""


def fault_set_ups(sequence: Sequence, faults: FaultTable) -> tuple[SetUp, ...]:
    """One set-up a rig, in the order of the devices, so that nothing is prepared twice."""
    made: dict[str, tuple[Rig, list[MachineCheck]]] = {}
    for behaviour in behaviours_of(sequence):
        for failure in behaviour.failures:
            rig = rig_of(behaviour, failure)
            checks = list(_checks(rig, faults.rows_of(f"{behaviour.device}.{failure.name}"), faults))
            if checks:
                made.setdefault(rig.key, (rig, []))[1].extend(checks)
    return tuple(
        SetUp(title=rig.title, prepare=rig.prepare, restore=rig.restore, checks=tuple(checks), is_fault=True)
        for rig, checks in made.values()
    )


def _checks(rig: Rig, rows: tuple[FaultRow, ...], faults: FaultTable) -> Iterator[MachineCheck]:
    """Steps in which the same kind of thing happens are one check, with a line each."""
    alike: dict[tuple[object, ...], list[FaultRow]] = {}
    for row in rows:
        kind = (row.notice, row.alarms, row.safe_us is None, row.runs_on, row.is_complete)
        alike.setdefault(kind, []).append(row)
    for number, same in enumerate(alike.values(), 1):
        worst = _worst(same)
        yield MachineCheck(
            key=f"{worst.failure} {number}" if len(alike) > 1 else worst.failure,
            title=f"{worst.failure}: {worst.meaning}",
            do=tuple(_do(rig, same, faults)),
            expect=tuple(_expected(worst, faults)),
            write_down=tuple(_write_down(worst)),
            in_steps=tuple(_line(row) for row in same),
            warn=tuple(_warnings(worst)),
        )


def _worst(rows: list[FaultRow]) -> FaultRow:
    """What counts for all of `rows`: the longest times, and every way to end."""
    return replace(
        rows[0],
        detection_us=max((row.detection_us for row in rows if row.detection_us is not None), default=None),
        safe_us=max((row.safe_us for row in rows if row.safe_us is not None), default=None),
        ends_in=tuple(dict.fromkeys(step for row in rows for step in row.ends_in)),
        prompts=tuple(dict.fromkeys(prompt for row in rows for prompt in row.prompts)),
        web_drawn_m=max((row.web_drawn_m for row in rows if row.web_drawn_m is not None), default=None),
        by_bound=any(row.by_bound for row in rows),
    )


def _line(row: FaultRow) -> StepLine:
    bound = " (by bound)" if row.by_bound else ""
    return StepLine(
        step=row.step,
        alarm=f"{' or '.join(row.alarms)} within {format_time(row.detection_us)}" if row.detection_us is not None else "none",
        safe=f"within {format_time(row.safe_us)}{bound}" if row.safe_us is not None else "not proven",
        rests_in=", ".join(row.ends_in),
        on_the_way="; ".join(row.effects),
    )


def _do(rig: Rig, rows: list[FaultRow], faults: FaultTable) -> Iterator[str]:
    several = "each of the steps in the table, one after the other" if len(rows) > 1 else f"step {rows[0].step}"
    yield f"Bring {faults.main_chart} to {several}."
    yield rig.apply


def _expected(row: FaultRow, faults: FaultTable) -> Iterator[str]:
    yield _notice(row, faults)
    yield _safe(row, faults)
    yield f"It {'is in one of these steps' if row.runs_on else 'comes to rest in'}: {', '.join(row.ends_in)}."
    if row.prompts:
        yield f"The operator is told: {'; '.join(row.prompts)}."
    if row.web_drawn_m:
        yield f"At most {row.web_drawn_m:.3f} m of web is drawn from the accumulator, by bound."


def _notice(row: FaultRow, faults: FaultTable) -> str:
    alarms = " or ".join(row.alarms)
    time = format_time(row.detection_us) if row.detection_us is not None else ""
    looked_at = format_time(faults.horizon_us)
    match row.notice:
        case Notice.ALWAYS:
            return f"Alarm {alarms} comes first, at the latest after {time}."
        case Notice.SOMETIMES:
            return f"Alarm {alarms} may come, within {time} where it comes; in some runs none comes within {looked_at}."
        case Notice.ALREADY:
            return "No new alarm comes; one is on already."
        case Notice.NEVER:
            return f"No alarm comes within {looked_at}: this fault is unnoticed."


def _safe(row: FaultRow, faults: FaultTable) -> str:
    if row.safe_us is None:
        return "No time is proven after which nothing hazardous is on or moves: the machine may run on."
    bound = " (by bound)" if row.by_bound else ""
    return f"At the latest after {format_time(row.safe_us)}{bound}, {faults.safe_state}."


def _write_down(row: FaultRow) -> Iterator[str]:
    if row.notice in (Notice.ALWAYS, Notice.SOMETIMES):
        yield "first alarm"
        yield "time to it"
    if row.safe_us is not None:
        yield "time to safe state"
    yield "step at rest"


def _warnings(row: FaultRow) -> Iterator[str]:
    if row.safe_us is None:
        yield "The proof gives no time to a safe state: hazards can run on until somebody stops them."
    if row.notice is Notice.NEVER:
        yield "No alarm tells of this fault; the time until a test finds it is for the risk assessment."
    if not row.is_complete:
        yield "A limit was reached while this was explored: times are only what was found until then."


def faults_not_tested(faults: FaultTable, excluded: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    """Failures without a check: those that show in no run, and those that the file leaves out."""
    return (*faults.silent, *excluded)
