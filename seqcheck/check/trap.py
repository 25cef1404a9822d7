"""Found without being asked: traps, and loops that take no time, in runs without failures."""

from __future__ import annotations

from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Trap
from seqcheck.check.witness import steps_in, witness_of
from seqcheck.explore.layers import LayeredSearch
from seqcheck.explore.limits import StopReason
from seqcheck.explore.traps import traps
from seqcheck.kernel.build import build_core
from seqcheck.kernel.network import NetworkOptions
from seqcheck.language.sequence import Hypothesis, Sequence

MOST_TRAPS = 5
"""Traps told; more would say the same."""

Unasked = tuple[tuple[Trap, ...], tuple[str, ...]]
"""Traps with witnesses, and the devices in a loop that takes no time."""


def find_traps(sequence: Sequence, options: CheckOptions) -> Unasked:
    """Traps and loops without time; nothing where a limit was reached before all was explored."""
    network = build_core(sequence, NetworkOptions())
    layered = LayeredSearch(network=network, monitors=(), hypothesis=Hypothesis(), limits=options.limits)
    exploration, _ = layered.base()
    if exploration.stop is not StopReason.FINISHED:
        return (), exploration.time_loop or exploration.instant_loop
    replayed = build_core(sequence, NetworkOptions(at_read=False, choose=False))
    found = []
    for where in traps(layered.base_search())[:MOST_TRAPS]:
        path = layered.path((), lambda _search, where=where: where)  # type: ignore[misc]
        witness, _ = witness_of(network, replayed, path)
        last = path.edges[-1].target if path.edges else path.start
        found.append(Trap(steps=steps_in(network, last), witness=witness))
    return tuple(found), exploration.time_loop
