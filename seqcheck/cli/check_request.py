"""What `seqcheck check` was asked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRequest:
    """The arguments of `seqcheck check`. `json` None: no JSON; `-`: JSON in place of tables.

    `examples` drawn runs of each file, from `seed`. `witnesses`: the folder for scenarios, or None.
    """

    files: tuple[Path, ...]
    faults: int | None
    only: tuple[str, ...]
    most_classes: int | None
    most_seconds: float | None
    most_memory_mib: int | None
    jobs: int
    json: Path | None
    strict: bool
    examples: int = 0
    seed: int = 0
    witnesses: Path | None = None
    junit: Path | None = None
    sarif: Path | None = None
    hints: bool = False
