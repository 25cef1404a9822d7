"""Small splicers for tests of the simulator, and the networks built from them."""

from __future__ import annotations

from pathlib import Path

from seqcheck.kernel.build import build_network
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.observer import Monitor
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS

FOLDER = Path(__file__).parent


def trial(name: str) -> Sequence:
    return read_sequence(FOLDER / f"{name}.yaml")


def monitors_of(sequence: Sequence) -> tuple[Monitor, ...]:
    return tuple(
        monitor
        for requirement in sequence.requirements
        for monitor in REQUIREMENT_KINDS[requirement.kind].monitors(requirement, sequence)
    )


def concrete(sequence: Sequence) -> Network:
    """The network that the simulator runs: real buttons, contacts that fail as events."""
    return build_network(sequence, monitors_of(sequence), NetworkOptions(choose=False, at_read=False))


def reduced(sequence: Sequence) -> Network:
    """The network that the explorer searches: inputs chosen and contacts failing at the read."""
    return build_network(sequence, monitors_of(sequence), NetworkOptions())
