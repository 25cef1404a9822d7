"""From what the explorations found to a verdict on one requirement."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from seqcheck.check.attained import Claim, attain
from seqcheck.check.attained_together import End, has_all
from seqcheck.check.bound import rests_on_bound
from seqcheck.check.draw import (
    draw_constraints,
    draw_measure,
    draws_in_a_row,
    level_budget_us,
    shown_draws,
    sum_measures,
)
from seqcheck.check.group import Group
from seqcheck.check.measured import Together, broken_by_bound, figure_measure, is_measured, measured
from seqcheck.check.outcome import Measure, RequirementOutcome, Witness
from seqcheck.check.witness import witness_of
from seqcheck.check.work import Wanted
from seqcheck.explore.layers import Path
from seqcheck.explore.limits import StopReason
from seqcheck.explore.summary import Exploration, Found, MonitorSummary
from seqcheck.explore.witness import Constraint
from seqcheck.kernel.draw_part import DrawPart
from seqcheck.kernel.network import Network
from seqcheck.kernel.observer import (
    DrawMonitor,
    Fails,
    Monitor,
    ReadMonitor,
    StateMonitor,
    StopwatchMonitor,
)
from seqcheck.language.expression import And, to_text
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS
from seqcheck.requirements.requirement import Figure
from seqcheck.requirements.verdict import Verdict
from seqcheck.simulate.replay import Replay


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One monitor of a requirement, with what was found for it. `number` is its place in its group."""

    monitor: Monitor
    number: int
    summary: MonitorSummary
    group: Group
    exploration: Exploration


PathOf = Callable[[Group, Wanted], Path]
Networks = Callable[[Group], tuple[Network, Network]]
"""The network explored for a group, and the one in which its witnesses are replayed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Everything a judgement needs."""

    requirement: Requirement
    sequence: Sequence
    parts: tuple[Part, ...]
    path_of: PathOf
    networks: Networks
    judged_on: str


def judge_figures(requirement: Requirement, figures: tuple[Figure, ...]) -> RequirementOutcome:
    """The verdict on a requirement that figures decide."""
    broken = [figure.quantity for figure in figures if not figure.holds]
    return RequirementOutcome(
        requirement=requirement,
        verdict=Verdict.VIOLATED if broken else Verdict.HOLDS,
        reason=f"out of its limit: {', '.join(broken)}" if broken else "",
        judged_on="figures",
        hypothesis=requirement.under.text,
        measures=tuple(figure_measure(figure, is_exact=False) for figure in figures),
    )


def judge(case: Case) -> RequirementOutcome:
    """The verdict: a confirmed violation first, then what was not decided, then what was not tested, then holds."""
    violation = _violation(case)
    if violation is not None:
        verdict, reason, witness = violation
        return _outcome(case, verdict, reason, witness)
    stopped = _not_decided(case)
    if stopped:
        return _outcome(case, Verdict.UNDECIDED, stopped, None)
    untested = _vacuous_because(case)
    if untested:
        return _outcome(case, Verdict.VACUOUS, untested, None)
    held = _outcome(case, Verdict.HOLDS, "", None)
    kind = REQUIREMENT_KINDS[case.requirement.kind]
    if kind.measured is not None and not is_measured(held.measures):
        return replace(held, verdict=Verdict.VACUOUS, reason="what it speaks of never ends in any run")
    broken = broken_by_bound(held.measures) if kind.rests_on_figures else ""
    return replace(held, verdict=Verdict.UNDECIDED, reason=broken) if broken else held


def _outcome(case: Case, verdict: Verdict, reason: str, witness: Witness | None) -> RequirementOutcome:
    explorations = {part.group.index: part.exploration for part in case.parts}
    return RequirementOutcome(
        requirement=case.requirement,
        verdict=verdict,
        reason=reason,
        judged_on=case.judged_on,
        hypothesis=case.parts[0].group.hypothesis.text,
        measures=measured(
            case.requirement,
            case.sequence,
            tuple(_measures(case, part) for part in case.parts),
            lambda together: _is_of_one_run(case, together),
        ),
        witness=witness,
        untested=_untested_permissives(case),
        latent=_latent(case),
        classes=sum(found.classes for found in explorations.values()),
        states=sum(found.states for found in explorations.values()),
        transitions=sum(found.transitions for found in explorations.values()),
        layers=max(found.layers for found in explorations.values()),
    )


# -- violated ------------------------------------------------------------------------------------------------


def _violation(case: Case) -> tuple[Verdict, str, Witness] | None:
    broken = [(part.summary.bad, part) for part in case.parts if part.summary.bad is not None]
    if not broken:
        return None
    bad, part = min(broken, key=lambda pair: (pair[0].cost, pair[1].number))
    path = case.path_of(part.group, Wanted(bad.chain, part.number, "bad"))
    if isinstance(part.monitor, DrawMonitor) and not _draw_at_end(path, part.number).is_whole:
        bad, path = _whole_draw(case, part, part.monitor) or (bad, path)
    explored, replayed = case.networks(part.group)
    extra = _extra(explored, part, bad, path)
    witness, replay = witness_of(explored, replayed, path, extra)
    if not witness.confirmed:
        return Verdict.UNDECIDED, f"a violation was found but not confirmed: {witness.reason}", witness
    if not _attains(part, bad, replay):
        return Verdict.UNDECIDED, "by bound: the model allows more than any replay attains", witness
    return Verdict.VIOLATED, _violation_text(part, bad), witness


def _extra(network: Network, part: Part, bad: Found, path: Path) -> tuple[tuple[Constraint, ...], ...]:
    """What a schedule must meet beyond the path, so that the claimed value shows in it."""
    monitor = part.monitor
    if isinstance(monitor, DrawMonitor) and bad.kind == "drawn":
        # Just over the budget is enough, and leaves room for the periodic scans that the greatest draw may not have.
        return draw_constraints(network, part.number, path, _budget_us(monitor, path, part.number) + 1)
    if not isinstance(monitor, StopwatchMonitor) or bad.kind != "early":
        return ((),)
    return ((Constraint(started_at(path, part.number), len(path.edges), monitor.at_least_us - 1),),)


def _whole_draw(case: Case, part: Part, monitor: DrawMonitor) -> tuple[Found, Path] | None:
    """The cheapest of the greatest draws that are exact and too much: of one that is a bound no run need draw as much."""
    found = [
        (place, draw)
        for draw, place in part.summary.draws
        if draw.is_whole and draw.is_first and (place.value_us or 0) > level_budget_us(monitor, draw.level)
    ]
    if not found:
        return None
    place, draw = min(found, key=lambda pair: (pair[0].cost, pair[1]))
    return place, case.path_of(part.group, Wanted(place.chain, part.number, "drawn", draw))


def _budget_us(monitor: DrawMonitor, path: Path, number: int) -> int:
    """What the level at which the draw at the end of `path` began holds above the reserve."""
    return level_budget_us(monitor, _draw_at_end(path, number).level)


def _draw_at_end(path: Path, number: int) -> DrawPart:
    """The kind of the draw that ends, or runs over, with the path."""
    kinds = ("drawn", "over")
    parts = [mark.draw for mark in path.edges[-1].marks if mark.monitor == number and mark.kind in kinds]
    return parts[-1] if parts else DrawPart()


def started_at(path: Path, monitor: int) -> int:
    """The moment (number of the event) at which the measurement that ends with the path began."""
    starts = [
        number
        for number, edge in enumerate(path.edges[:-1], start=1)
        if any(mark.monitor == monitor and mark.kind == "started" for mark in edge.marks)
    ]
    return starts[-1] if starts else 0


def _attains(part: Part, bad: Found, replay: Replay | None) -> bool:
    """Whether the replay shows the violation itself, not only the events that lead to it."""
    if not isinstance(part.monitor, DrawMonitor):
        return True
    draws = [] if replay is None else [draw for draw in replay.run.draws if draw.monitor == part.number]
    if bad.kind != "drawn" or not draws:
        return replay is not None and _draw_run_over(part, replay).is_whole
    last = draws[-1]
    return last.draw.is_first and last.draw.is_whole and (last.value_us or 0) > level_budget_us(part.monitor, last.draw.level)


def _draw_run_over(part: Part, replay: Replay) -> DrawPart:
    over = [item.draw for item in replay.run.noticed if (item.monitor, item.kind) == (part.number, "over")]
    return over[-1] if over else DrawPart(is_whole=False)


def _violation_text(part: Part, bad: Found) -> str:
    match part.monitor, bad.kind:
        case StateMonitor(), _:
            return f"this holds: {to_text(part.monitor.bad)}"
        case ReadMonitor(output=output, needs=needs), _:
            return f"a read turns {output} on while this does not hold: {to_text(needs)}"
        case StopwatchMonitor(), "early":
            return "it ends too soon"
        case StopwatchMonitor(), _:
            return "its time runs out"
        case DrawMonitor(), _:
            return "more web is drawn than allowed"
        case _:
            return "the second comes before the first"


# -- undecided, vacuous --------------------------------------------------------------------------------------


def _not_decided(case: Case) -> str:
    for part in case.parts:
        found = part.exploration
        if found.stop is not StopReason.FINISHED:
            devices = f" ({', '.join(found.instant_loop)})" if found.instant_loop else ""
            return f"{found.stop.value}{devices}; {found.classes} classes were explored"
        if isinstance(part.monitor, DrawMonitor) and (text := draws_in_a_row(part.monitor, part.summary.draws)):
            return text
        if found.time_loop:
            return f"a loop that takes no time was reached ({', '.join(found.time_loop)}); every limit would hold in it"
    return ""


def _vacuous_because(case: Case) -> str:
    """Why the requirement was never put to the test, or nothing if it was."""
    if case.requirement.kind == "interlock":
        energise = case.parts[0].summary
        return "" if energise.started_in_layer_0 else "the output is never turned on in a run without failures"
    if all(isinstance(part.monitor, StateMonitor) for part in case.parts):
        return _unseen_parts(case.parts[0])
    if any(part.summary.started is not None for part in case.parts):
        return ""
    return "what it speaks of never begins in any run that its hypothesis and `given` allow"


def _unseen_parts(part: Part) -> str:
    assert isinstance(part.monitor, StateMonitor)
    unseen = [
        to_text(condition)
        for number, condition in enumerate(part.monitor.parts)
        if number not in part.summary.parts_in_layer_0
    ]
    return f"never true in a run without failures: {', '.join(unseen)}" if unseen else ""


def _untested_permissives(case: Case) -> tuple[str, ...]:
    found: list[str] = []
    for part in case.parts:
        if isinstance(part.monitor, ReadMonitor):
            needs = part.monitor.needs
            terms = needs.operands if isinstance(needs, And) else (needs,)
            seen = part.summary.parts_in_layer_0
            found.extend(to_text(term) for number, term in enumerate(terms) if number not in seen)
    return tuple(found)


def _latent(case: Case) -> tuple[str, ...]:
    if case.requirement.kind != "detection":
        return ()
    found: list[str] = []
    for part in case.parts:
        if isinstance(part.monitor, StopwatchMonitor) and part.summary.started is None:
            found.extend(moment.failure for moment in part.monitor.start if isinstance(moment, Fails))
    return tuple(found)


# -- measures ------------------------------------------------------------------------------------------------


def _measures(case: Case, part: Part) -> tuple[Measure, ...]:
    if isinstance(part.monitor, DrawMonitor):
        return _draw_measures(case, part, part.monitor)
    worst, best = part.summary.worst, part.summary.best
    if not isinstance(part.monitor, StopwatchMonitor) or worst is None or worst.value_us is None:
        return ()
    return (
        Measure(
            quantity=duration_text(case.requirement, part.monitor),
            unit="us",
            worst=worst.value_us,
            limit=part.monitor.at_most_us,
            best=best.value_us if best is not None else None,
            is_exact=_is_exact(case, part, worst),
            at_least=part.monitor.at_least_us or None,
            is_exceeded=part.summary.over is not None,
        ),
    )


def _draw_measures(case: Case, part: Part, monitor: DrawMonitor) -> tuple[Measure, ...]:
    single = tuple(
        draw_measure(case.sequence, monitor, draw, found, is_draw_attained(case, part, draw, found))
        for draw, found in shown_draws(part.summary.draws)
    )
    return (*single, *sum_measures(case.sequence, monitor, part.summary.draws))


def is_draw_attained(case: Case, part: Part, draw: DrawPart, found: Found) -> bool:
    """Whether the expression is exact for this kind of draw and a replayed run has the value (see attained.py)."""
    if not draw.is_whole or not draw.is_first:
        return False
    path = case.path_of(part.group, Wanted(found.chain, part.number, "drawn", draw))
    claim = Claim(
        networks=case.networks(part.group),
        path=path,
        number=part.number,
        kind="drawn",
        value_us=found.value_us or 0,
    )
    attained = attain(claim)
    return attained is not None and attained.is_exact


WEB_KINDS = ("accumulator", "refill", "roll_end")
"""Kinds on web whose worst times are exact only where a replay attains them; of others the path alone tells."""


def _is_exact(case: Case, part: Part, worst: Found) -> bool:
    path = case.path_of(part.group, Wanted(worst.chain, part.number, "worst"))
    if case.requirement.kind in WEB_KINDS:
        claim = Claim(
            networks=case.networks(part.group),
            path=path,
            number=part.number,
            kind="ended",
            value_us=worst.value_us or 0,
        )
        attained = attain(claim)
        return attained is not None and attained.is_exact
    return not rests_on_bound(case.networks(part.group)[0], path)


def _is_of_one_run(case: Case, together: Together) -> bool:
    """Whether a replayed run has these ends of what the monitors of the requirement measured (see attained.py)."""
    ends = []
    for place, is_longest in together:
        part = case.parts[place]
        found = part.summary.worst if is_longest else part.summary.best
        if found is None or found.value_us is None or part.group.index != case.parts[together[0][0]].group.index:
            return False
        ends.append(End(number=part.number, value_us=found.value_us, is_longest=is_longest, chain=found.chain))
    group = case.parts[together[0][0]].group
    kind = "worst" if ends[0].is_longest else "best"
    path = case.path_of(group, Wanted(ends[0].chain, ends[0].number, kind))
    return has_all(case.networks(group), path, tuple(ends))


def duration_text(requirement: Requirement, monitor: StopwatchMonitor) -> str:
    """What a duration is of."""
    for moment in monitor.start:
        if isinstance(moment, Fails):
            return f"{moment.failure} to alarm"
    return {"interlock": "permissive lost to off", "reaction": "reaction"}.get(requirement.kind, "duration")
