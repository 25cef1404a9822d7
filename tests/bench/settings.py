"""What a run of the benchmark was asked, and where its subjects are."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
FLAGSHIP = "sequences/wipes_line_butt_splice.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Limits and sizes. `limit_s` is for each outside search, `two_faults_s` for the exploration under two faults.

    `tries_all`: outside engines try every subject, also when a smaller one was already too much for them.
    """

    is_quick: bool = False
    two_faults_s: float = 900
    limit_s: float = 120
    memory_mib: int = 6_000
    jobs: int = 2
    classes: int = 200_000
    tries_all: bool = False
