"""A budget as JSON values: metres, metres per second, microseconds."""

from __future__ import annotations

from seqcheck.check.budget import Budget
from seqcheck.check.budget_curve import Curve, CurvePoint
from seqcheck.check.budget_phase import Phase
from seqcheck.check.budget_proof import LevelSum
from seqcheck.check.budget_search import Boundary, Growth
from seqcheck.check.budget_worst import WorstDraw
from seqcheck.cli.outcome_json import Json, requirement_json, witness_json

FORMAT = "seqcheck budget 1"


def budget_json(budget: Budget, code: int) -> Json:
    """The whole document."""
    return {
        "format": FORMAT,
        "exit_code": code,
        "file": budget.sequence.file,
        "sequence": budget.sequence.name,
        "requirement": budget.requirement.id,
        "under": budget.requirement.under.text,
        "given": budget.requirement.given.text,
        "takes_up": budget.side.takes_up,
        "line_speed_m_per_s": budget.line_speed_m_per_s,
        "holds": budget.proof.holds,
        "undecided": budget.proof.undecided or None,
        "stopped": budget.stopped or None,
        "levels": [_level(level) for level in budget.proof.levels],
        "draws": [_draw(draw) for draw in budget.draws],
        "refill": None
        if budget.refill is None
        else {"to_running_s": budget.refill.to_running_s, "to_filled_s": budget.refill.to_filled_s},
        "highest_line_speed_m_per_s": _boundary(budget.highest_speed),
        "smallest_stroke_m": _boundary(budget.smallest_stroke_m),
        "smallest_strands": _boundary(budget.smallest_strands),
        "durations": [_growth(growth) for growth in budget.growths],
        "curves": [_curve(curve) for curve in budget.curves],
        "others": [requirement_json(judged) for judged in budget.others],
        "proofs": budget.proofs,
    }


def _level(level: LevelSum) -> Json:
    return {
        "level": level.text,
        "draws": len(level.worst.parts),
        "drawn_m": level.drawn_m,
        "budget_m": level.budget_m,
        "margin_m": level.margin_m,
    }


def _draw(draw: WorstDraw) -> Json:
    return {
        "quantity": draw.quantity,
        "drawn_m": draw.drawn_m,
        "attained_m": draw.attained_m,
        "exact": draw.is_exact,
        "budget_m": draw.budget_m,
        "margin_m": draw.margin_m,
        "phases": [_phase(phase) for phase in draw.phases],
        "run": None if draw.run is None else witness_json(draw.run.witness),
    }


def _phase(phase: Phase) -> Json:
    return {
        "step": phase.step,
        "begin_us": phase.begin_us,
        "end_us": phase.end_us,
        "drawn_m": phase.drawn_m,
    }


def _boundary(boundary: Boundary | None) -> Json | None:
    return None if boundary is None else {"holds_at": boundary.holds_at, "fails_at": boundary.fails_at}


def _growth(growth: Growth) -> Json:
    place = growth.duration.place
    return {
        "name": growth.duration.name,
        "line": None if place is None else place.line,
        "value": growth.duration.text,
        "may_grow_us": growth.most_us,
        "tried_us": growth.tried_us,
        "margin_lost_m_per_s": growth.slope_m_per_s,
    }


def _curve(curve: Curve) -> Json:
    return {
        "quantity": curve.quantity,
        "unit": curve.unit,
        "model": curve.model,
        "missing": curve.missing or None,
        "points": [_point(point) for point in curve.points],
    }


def _point(point: CurvePoint) -> Json:
    return {
        "at": point.at,
        "margin_m": point.margin_m,
        "holds": point.holds,
        "margin_is_at_most": point.is_floor,
        "ramp_us": point.ramp_us,
        "note": point.note or None,
    }
