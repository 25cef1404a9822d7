"""seqcheck's own exploration of a widened copy: every reachable class, no requirement watched."""

from __future__ import annotations

import time

from bench.own_process import Values
from bench.subjects import widened_copy
from reference.exploration import EXACT, REDUCED

from seqcheck.explore.layers import LayeredSearch
from seqcheck.explore.limits import Limits, StopReason
from seqcheck.explore.search import collector_paused
from seqcheck.kernel.build import build_network
from seqcheck.language.sequence import Hypothesis


def explored(subject: str, faults: int, is_reduced: bool, limit_s: float) -> Values:
    """Explore the whole copy; network states of different layers are counted in each."""
    sequence = widened_copy(subject)
    started_s = time.perf_counter()
    layered = LayeredSearch(
        network=build_network(sequence, (), REDUCED if is_reduced else EXACT),
        monitors=(),
        hypothesis=Hypothesis(count=faults),
        limits=Limits(),
        deadline=time.monotonic() + limit_s,
    )
    with collector_paused():
        found, seeds = layered.base()
        for failures, first in seeds.items():
            if found.stop is not StopReason.FINISHED:
                break
            found = found.merged(layered.job(failures, first))
    return {
        "count": found.classes,
        "network_states": found.states,
        "seconds": {"explore": time.perf_counter() - started_s},
        "stopped": "" if found.stop is StopReason.FINISHED else f"not within {limit_s:g} s",
    }
