"""What `seqcheck track` was asked for."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackRequest:
    """The arguments of `seqcheck track`. `only` empty: every requirement 'reject from'. `json` as in `seqcheck check`."""

    file: Path
    only: tuple[str, ...]
    faults: int | None
    jobs: int
    json: Path | None
