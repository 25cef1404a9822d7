"""Property tests as plain data for JSON; scenarios as the text of their file."""

from __future__ import annotations

from typing import Any

from seqcheck.check.property_outcome import PropertyTests, Refutation, Tested
from seqcheck.simulate.scenario import Scenario
from seqcheck.simulate.scenario_text import scenario_text

Json = dict[str, Any]


def property_json(tests: PropertyTests | None) -> Json | None:
    """The data; None where no runs were drawn."""
    if tests is None:
        return None
    return {
        "seed": tests.seed,
        "runs": tests.runs,
        "shrinking": tests.shrinking,
        "requirements": [_tested(tested) for tested in tests.tested],
        "disagreements": [
            {
                "requirement": found.requirement,
                "text": found.text,
                "proof": found.proof,
                "scenario": scenario_json(found.scenario),
            }
            for found in tests.disagreements
        ],
    }


def _tested(tested: Tested) -> Json:
    return {
        "id": tested.requirement,
        "runs": tested.watched,
        "tested": tested.tested,
        "worst_us": tested.worst_us,
        "refutation": None if tested.refutation is None else _refutation(tested.refutation),
    }


def _refutation(refutation: Refutation) -> Json:
    return {
        "why": refutation.why,
        "confirmed": refutation.witness.confirmed,
        "faults": refutation.witness.faults,
        "acts": refutation.witness.acts,
        "end_us": refutation.witness.end_us,
        "scenario": scenario_json(refutation.scenario),
    }


def scenario_json(scenario: Scenario | None) -> str | None:
    """The text that `simulate --scenario` reads back."""
    return None if scenario is None else scenario_text(scenario, "")
