"""What `seqcheck simulate` was asked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulateRequest:
    """The arguments of `seqcheck simulate`; times, lengths, acts and faults still as typed."""

    file: Path
    times: str
    seed: int
    until: str
    acts: tuple[str, ...]
    faults: tuple[str, ...]
    csv: Path | None
    vcd: Path | None
    chart: Path | None = None
    chart_from: str = "0s"
    sample: str = "100ms"
    diameter: str | None = None
    runs: int | None = None
    cycle: str | None = None
    jobs: int = 2
    json: Path | None = None
