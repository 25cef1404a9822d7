"""How to review a sequence."""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.explore.limits import Limits
from seqcheck.report.head import InputFile


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewOptions:
    """How to review: `date` as given by the user ("" leaves it to the file, or open), `files` with their digests (see files.py).

    `faults`: failures at once that tables look at, 0 or 1. `limits` count for each exploration of the tables. `version`: of
    seqcheck.
    """

    date: str = ""
    files: tuple[InputFile, ...] = ()
    version: str = ""
    faults: int = 1
    limits: Limits = field(default_factory=Limits)
    jobs: int = 1
    """Processes (1: none besides this one)."""
