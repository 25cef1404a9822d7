"""The files that all engines explore, smallest first, each as the same widened copy."""

from __future__ import annotations

from bench.settings import FLAGSHIP, REPOSITORY
from reference.widened import widened

from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence

TICK_US = 50_000
"""Every range of the copy is a whole number of these."""
FINE_TICK_US = TICK_US // 5
"""The same copy looked at five times as closely: a search in ticks grows, dense time does not notice."""

SUBJECTS = {
    "clamp and hood": "tests/reference/trials/clamp_and_hood.yaml",
    "knife with circuit": "tests/reference/trials/knife_with_circuit.yaml",
    "clamp and knife": "tests/reference/clamp_and_knife.yaml",
    "sound splice": "tests/defects/sound_splice.yaml",
    "flagship": FLAGSHIP,
}


def widened_copy(subject: str) -> Sequence:
    """The copy of a subject that every engine gets."""
    return widened(read_sequence(REPOSITORY / SUBJECTS[subject]), TICK_US)
