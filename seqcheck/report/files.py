"""The files that a review is of, with the digests that say which bytes were judged."""

from __future__ import annotations

import hashlib
from pathlib import Path

from seqcheck.language.sequence import Sequence
from seqcheck.report.head import InputFile

MOST_FILES = 8
"""A file and its bases; the reader allows fewer."""


def input_files(sequence: Sequence) -> tuple[InputFile, ...]:
    """The sequence's file, then the base that it names.

    Raises OSError where one cannot be read any more.
    """
    names = [sequence.file]
    if sequence.base_file is not None:
        names.append(sequence.base_file)
    for device in sequence.devices:
        names.append(device.place.file)  # what comes from a base of the base has its place there
    return tuple(_file(name) for name in list(dict.fromkeys(names))[:MOST_FILES])


def _file(name: str) -> InputFile:
    return InputFile(name, hashlib.sha256(Path(name).read_bytes()).hexdigest())
