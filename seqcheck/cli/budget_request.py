"""What `seqcheck budget` was asked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetRequest:
    """The arguments of `seqcheck budget`. `svg` None: no drawing. `json` None: no JSON; `-`: JSON in place of tables.

    `compensation_percent` None: as the file says. `is_quick`: the worst draws alone.
    """

    file: Path
    requirement: str
    faults: int | None
    keeps_rates: bool
    compensation_percent: float | None
    is_quick: bool
    jobs: int
    svg: Path | None
    json: Path | None
