"""What is shared between a sequence and its changes gives the very same states as exploring each change from nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from seqcheck.adequacy.change import Anywhere, Change
from seqcheck.adequacy.changed_core import ChangedCore, has_same_layout, sharing, stretched_timer, touches
from seqcheck.adequacy.changes import changes_of
from seqcheck.adequacy.layered import Layered, layers
from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.core import CoreStore
from seqcheck.kernel.build import build_core
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.state import State
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence

TESTS = Path(__file__).parents[1]
FILES = (TESTS / "adequacy" / "press.yaml", TESTS / "check" / "clamp.yaml")

Visited = frozenset[tuple[tuple[int, ...], State, int]]


def visited(network: Network, core: CoreStore, store: BoundsStore) -> Visited:
    """Every state with the failures before it, and how many classes it has."""
    failures = frozenset(mode.index for mode in network.failures)
    asked = Layered(network=network, monitors=(), core=core, store=store, failures=failures)
    found = []
    for chain, search in layers(asked):
        found.extend((sum(chain, ()), node.core.state, len(node.classes)) for node in search.nodes.values())
    return frozenset(found)


def same_layout(sequence: Sequence, original: Network) -> list[tuple[Change, Network]]:
    """The changes of the controller whose states mean the same, with their networks."""
    changes = [change for change in changes_of(sequence) if not isinstance(change.touched, Anywhere)]
    built = [(change, build_core(change.sequence, NetworkOptions())) for change in changes]
    return [(change, network) for change, network in built if has_same_layout(network, original)]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_sharing_changes_nothing(path: Path) -> None:
    sequence = read_sequence(path)
    original = build_core(sequence, NetworkOptions())
    core, store = CoreStore(original), BoundsStore()
    as_it_is = visited(original, core, store)
    changes = same_layout(sequence, original)
    assert len(changes) > 15
    differing = 0
    for change, network in changes:
        shared = sharing(network, original)
        stretched = stretched_timer(network, original)
        is_touched = touches(network, change.touched) if stretched is None else _never
        found = visited(shared, ChangedCore(shared, core, is_touched, stretched), store)
        assert found == visited(build_core(change.sequence, NetworkOptions()), CoreStore(network), BoundsStore()), change.text
        differing += found != as_it_is
    assert differing > 10, "most changes change something, or the comparison shows nothing"


def _never(_memory: tuple[int, ...]) -> bool:
    return False
