"""The texts that one sequence is read from: its file and its bases, from a disk or out of a revision, with a digest of them all."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from seqcheck.errors import Place, Problem, SequenceFileError
from seqcheck.language.document import LONGEST_DOCUMENT_BYTES, MapNode, decoded_text, read_document
from seqcheck.language.sequence import Sequence
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.reader.read import read_sequence_text
from seqcheck.reader.variants import BASE_KEY, joined_with_bases

ReadBytes = Callable[[str], bytes]
"""The content of a file by its name, at most one byte more than a sequence may have. Raises OSError where there is none."""


@dataclass(frozen=True, slots=True)
class Sources:
    """A file's name and the texts of it and its bases, by name; the first one is its own."""

    file: str
    texts: tuple[tuple[str, str], ...]

    @property
    def digest(self) -> str:
        """SHA-256 over names and texts, each with its length before it."""
        found = hashlib.sha256()
        for part in (self.file, *(part for pair in self.texts for part in pair)):
            content = part.encode("utf-8", "surrogatepass")
            found.update(f"{len(content)}:".encode())
            found.update(content)
        return found.hexdigest()

    def sequence(self) -> Sequence:
        """The sequence. Raises SequenceFileError with every problem of its files."""
        texts = dict(self.texts)
        return read_sequence_text(texts[self.file], self.file, lambda base: (texts[base], base))


def read_from_disk(root: Path) -> ReadBytes:
    """Reads names relative to `root`."""

    def read(name: str) -> bytes:
        path = root / name
        if not path.is_file():
            raise FileNotFoundError(2, "not a file", name)
        with path.open("rb") as file:
            return file.read(LONGEST_DOCUMENT_BYTES + 1)

    return read


def gather(file: str, read: ReadBytes) -> Sources:
    """The texts of `file` and its bases.

    Raises SequenceFileError if the file itself cannot be read; what is wrong with its text or with a base shows when the sequence
    is read.
    """
    texts = {file: _text(file, read)}

    def load(base: str, place: Place) -> MapNode:
        try:
            texts[base] = decoded_text(read(base), base)
        except (OSError, ValueError):
            raise SequenceFileError([Problem(place=place, expected="a readable base", found=repr(base))]) from None
        return read_document(texts[base], base)

    if BASE_KEY in texts[file]:  # reading YAML takes much longer than looking for a word
        joined_with_bases(read_document(texts[file], file), file, load, ProblemLog())
    return Sources(file, tuple(texts.items()))


def _text(file: str, read: ReadBytes) -> str:
    try:
        content = read(file)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        problem = Problem(place=Place(file, 1, 1), expected="a readable file", found=reason)
        raise SequenceFileError([problem]) from None
    return decoded_text(content, file)
