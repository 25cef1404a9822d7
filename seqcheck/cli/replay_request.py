"""What `seqcheck replay` was asked for."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from seqcheck.plc.recording_map import RecordingForm, TimeUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplayRequest:
    """The arguments of `seqcheck replay`, as typed. `maps` are texts NAME=COLUMN; `margin` a share such as 10 %."""

    file: Path
    log: Path
    maps: tuple[str, ...]
    time: str | None
    unit: TimeUnit | None
    form: RecordingForm
    jitter: str
    json: Path | None
    svg: Path | None
    suggest: bool
    apply: bool
    margin: str
