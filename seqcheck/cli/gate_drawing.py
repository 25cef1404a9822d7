"""A digest of each drawing of a sequence, so that a gate can say which ones look different. Sent to worker processes."""

from __future__ import annotations

import hashlib
from dataclasses import replace

from seqcheck.diagrams.diagram import draw_sequence
from seqcheck.language.sequence import Sequence


def drawing_digests(sequence: Sequence) -> tuple[tuple[str, str], ...]:
    """Name and digest of each drawing; the revision, which stands in every title, does not count."""
    drawings = draw_sequence(replace(sequence, revision=""))
    return tuple((drawing.name, hashlib.sha256(drawing.dot.encode()).hexdigest()[:16]) for drawing in drawings)
