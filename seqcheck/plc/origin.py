"""Where an exported text comes from: the file, its revision, the hash of its bytes, and the program that wrote it."""

from __future__ import annotations

from dataclasses import dataclass

WRITTEN_BY = "Written by seqcheck export"
"""Begins every exported text."""

HASH = "SHA-256"


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceFile:
    """A file by its name without folders, and the hash of its bytes in hexadecimal digits."""

    name: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """`files`: the sequence file, then the file it is based on, if any. `version`: of seqcheck."""

    sequence: str
    revision: str
    files: tuple[SourceFile, ...]
    version: str

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines on top of an exported text."""
        return (
            f"{WRITTEN_BY} ({self.version}): Structured Text of IEC 61131-3",
            f"sequence: {self.sequence}",
            f"revision: {self.revision or 'none'}",
            *(f"file: {file.name}, {HASH} {file.sha256}" for file in self.files),
            "An aid to review; safety functions belong in safety-rated hardware.",
        )
