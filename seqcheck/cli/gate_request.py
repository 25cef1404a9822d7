"""What `seqcheck gate` was asked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class GateRequest:
    """The arguments of `seqcheck gate`. None: not asked for, or the usual. `cache` None: nothing is remembered."""

    files: tuple[str, ...]
    base: str | None
    main: str | None
    base_result: Path | None
    policy: Path | None
    today: date
    jobs: int
    cache: Path | None
    most_classes: int | None
    most_seconds: float | None
    junit: Path | None
    sarif: Path | None
    markdown: Path | None
    json: Path | None
    annotations: bool

    @property
    def outputs(self) -> tuple[Path, ...]:
        """Every file that will be written."""
        return tuple(path for path in (self.junit, self.sarif, self.markdown, self.json) if path is not None)
