"""What `seqcheck protocol` was asked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtocolRequest:
    """The arguments of `seqcheck protocol`. `html`, `markdown` None: beside the file, as FILE_protocol.html, FILE_protocol.md."""

    file: Path
    html: Path | None
    markdown: Path | None
    date: str
    jobs: int
    most_classes: int | None
    most_seconds: float | None
    most_memory_mib: int | None

    @property
    def page(self) -> Path:
        """Where the HTML goes."""
        return self.file.with_name(f"{self.file.stem}_protocol.html") if self.html is None else self.html

    @property
    def text(self) -> Path:
        """Where the Markdown goes."""
        return self.file.with_name(f"{self.file.stem}_protocol.md") if self.markdown is None else self.markdown
