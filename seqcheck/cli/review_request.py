"""What `seqcheck review` was asked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewRequest:
    """The arguments of `seqcheck review`. `out` None: the file's name with .html, beside it. `json` None: no JSON."""

    file: Path
    out: Path | None
    json: Path | None
    date: str
    jobs: int
    faults: int
    most_classes: int | None
    most_seconds: float | None
    most_memory_mib: int | None

    @property
    def page(self) -> Path:
        """Where the page goes."""
        return self.file.with_suffix(".html") if self.out is None else self.out
