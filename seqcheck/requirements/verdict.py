"""What can be said of a requirement."""

from __future__ import annotations

from enum import Enum


class Verdict(Enum):
    """The four verdicts; only `HOLDS` is a pass."""

    HOLDS = "holds"
    """Every run that the hypothesis allows was covered, and none breaks it."""
    VIOLATED = "violated"
    """A run that breaks it was found and confirmed in the concrete simulator."""
    VACUOUS = "vacuous"
    """It was never put to the test in any run without failures."""
    UNDECIDED = "undecided"
    """A limit was reached, or what was found could not be confirmed."""
