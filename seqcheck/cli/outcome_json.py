"""An outcome as plain data for JSON. Times in microseconds, web in metres, places as file, line and column."""

from __future__ import annotations

from typing import Any

from seqcheck.check.outcome import Measure, Outcome, RequirementOutcome, Trap, Witness, WitnessLine
from seqcheck.errors import Place, Problem
from seqcheck.reader.findings import Finding

FORMAT = 1
"""Raised whenever a name disappears or changes its meaning; new names may come at any time."""

Json = dict[str, Any]


def outcome_json(outcome: Outcome, *, strict: bool = False) -> Json:
    """The outcome; the same outcome gives the same data in the same order. `strict` as for its exit code."""
    sequence = outcome.sequence
    return {
        "format": FORMAT,
        "file": sequence.file,
        "base_file": sequence.base_file,
        "sequence": sequence.name,
        "revision": sequence.revision,
        "exit_code": outcome.exit_code(strict),
        "stopped": outcome.stopped or None,
        "scan": {
            "period_us": [sequence.scan.period.earliest_us, sequence.scan.period.latest_us],
            "write_us": [sequence.scan.write.earliest_us, sequence.scan.write.latest_us],
        },
        "failure_modes": outcome.failure_modes,
        "excluded_failures": [
            {
                "device": device.name,
                "failures": list(device.excluded_failures),
                "because": device.excluded_because,
            }
            for device in sequence.devices
            if device.excluded_failures
        ],
        "classes": outcome.classes,
        "transitions": outcome.transitions,
        "requirements": [requirement_json(judged) for judged in outcome.requirements],
        "traps": [_trap(trap) for trap in outcome.traps],
        "time_loops": list(outcome.time_loops),
        "findings": [_finding(finding) for finding in outcome.findings],
    }


def refusal_json(file: str, problems: tuple[Problem, ...]) -> Json:
    """A file that could not be checked, with what is wrong with it."""
    return {"format": FORMAT, "file": file, "problems": [_problem(problem) for problem in problems]}


def requirement_json(judged: RequirementOutcome) -> Json:
    """One requirement with its verdict."""
    requirement = judged.requirement
    return {
        "id": requirement.id,
        "place": _place(requirement.place),
        "kind": requirement.kind,
        "sentence": requirement.text,
        "severity": requirement.severity,
        "clause": requirement.clause,
        "verdict": judged.verdict.value,
        "reason": judged.reason or None,
        "under": judged.hypothesis,
        "given": requirement.given.text,
        "start_anywhere": requirement.start_anywhere,
        "judged_on": judged.judged_on,
        "measures": [_measure(measure) for measure in judged.measures],
        "untested": list(judged.untested),
        "latent": list(judged.latent),
        "classes": judged.classes,
        "states": judged.states,
        "transitions": judged.transitions,
        "layers": judged.layers,
        "witness": None if judged.witness is None else witness_json(judged.witness),
    }


def _measure(measure: Measure) -> Json:
    return {
        "quantity": measure.quantity,
        "unit": measure.unit,
        "best": measure.best,
        "at_least": measure.at_least,
        "worst": measure.worst,
        "limit": measure.limit,
        "margin": measure.margin,
        "exact": measure.is_exact,
        "exceeded": measure.is_exceeded,
    }


def witness_json(witness: Witness) -> Json:
    """A run."""
    return {
        "confirmed": witness.confirmed,
        "reason": witness.reason or None,
        "faults": witness.faults,
        "acts": witness.acts,
        "end_us": witness.end_us,
        "events": [_line(line) for line in witness.lines],
    }


def _line(line: WitnessLine) -> Json:
    return {
        "time_us": line.time_us,
        "earliest_us": line.earliest_us,
        "latest_us": line.latest_us,
        "what": line.what,
        "failure": line.is_failure,
        "act": line.is_act,
        "steps": list(line.steps),
        "outputs": list(line.outputs),
    }


def _trap(trap: Trap) -> Json:
    return {"steps": list(trap.steps), "witness": witness_json(trap.witness)}


def _finding(finding: Finding) -> Json:
    return {"place": _place(finding.place), "text": finding.text, "code": finding.code}


def _problem(problem: Problem) -> Json:
    return {
        "place": _place(problem.place),
        "expected": problem.expected,
        "found": problem.found,
        "nearest": problem.nearest,
    }


def _place(place: Place) -> Json:
    return {"file": place.file, "line": place.line, "column": place.column}
