"""What `seqcheck adequacy` was asked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class AdequacyRequest:
    """The arguments of `seqcheck adequacy`. `kinds` as written, empty for all. `json` None: no JSON; `-`: in place of tables."""

    file: Path
    kinds: tuple[str, ...]
    every: int
    faults: int
    jobs: int
    json: Path | None
    shows_all: bool
