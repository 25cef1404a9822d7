"""What the sequence as it is reaches under failures, and what a change of its controller could reach beyond that.

Asked for the change alone, everything would have to be explored again. Instead the runs of the sequence are taken as given, and the
search goes on from where a read may go otherwise, until it meets what is known. That takes in more than the changed sequence can
do: known runs stay although the change may have cut them off. So nothing found means that nothing notices, and something found is
looked for again in the changed sequence alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from seqcheck.adequacy.changed_core import IsTouched
from seqcheck.adequacy.layered import Layered, forgotten, new_search, run_to_end
from seqcheck.explore.bounds import Bounds
from seqcheck.explore.cover import Cover, Held, Layer
from seqcheck.explore.limits import StopReason
from seqcheck.explore.search import Search, Seed, collector_paused
from seqcheck.explore.summary import Chain, MonitorSummary, summary_of
from seqcheck.explore.time_loop import devices_in_time_loop
from seqcheck.kernel.event import Pending
from seqcheck.kernel.state import State

FREE = (0, 0)
"""What is known costs nothing, so that it covers whatever it includes."""

Classes = tuple[tuple[Bounds, tuple[int, int]], ...]


@dataclass(slots=True)
class Reached:
    """The classes of the sequence as it is, layer by layer. Mutable while it is filled. `summaries`: of all layers together."""

    layers: dict[Chain, Layer] = field(default_factory=dict)
    summaries: tuple[MonitorSummary, ...] = ()

    def add(self, chain: Chain, search: Search) -> None:
        """Keep a finished layer."""
        layer: Layer = {}
        for node in search.nodes.values():
            layer[node.state] = Held(node.agenda.pending, tuple((bounds, FREE) for bounds in node.classes))
        self.layers[chain] = layer


@dataclass(frozen=True, slots=True)
class Beyond:
    """What was found beyond. `suspects`: failures after which something may go wrong (empty: without one), None for nothing.

    `summaries`: what the monitors noticed there.
    """

    suspects: tuple[int, ...] | None
    summaries: tuple[MonitorSummary, ...] = ()


def beyond(asked: Layered, known: Reached, is_touched: IsTouched) -> Beyond:
    """Go on from where a read may go otherwise. Raises KeyboardInterrupt if stopped."""
    cover = Cover(asked.network) if asked.covers else None
    if cover is not None:
        cover.layers[frozenset()] = known.layers[()]
    summaries = tuple(MonitorSummary() for _ in asked.monitors)
    with collector_paused():
        first = new_search(asked, (), asked.failures or frozenset())
        with forgotten(first):
            _go_on(first, (), known, None, is_touched)
            if _is_suspect(asked, first, ()):
                return Beyond(())
            summaries = _merged(summaries, first, ())
            for failures in sorted({*first.seeds, *(chain[0] for chain in known.layers if chain)}):
                search = new_search(asked, (failures,))
                with forgotten(search):
                    _go_on(search, (failures,), known, cover, is_touched, tuple(first.seeds.get(failures, ())))
                    if _is_suspect(asked, search, (failures,)):
                        return Beyond(failures)
                    summaries = _merged(summaries, search, (failures,))
    return Beyond(None, summaries)


def _go_on(
    search: Search,
    chain: Chain,
    known: Reached,
    cover: Cover | None,
    is_touched: IsTouched,
    seeds: tuple[Seed, ...] = (),
) -> None:
    layer = known.layers.get(chain, {})
    failed = frozenset(index for failures in chain for index in failures)

    def covering(state: State, pending: tuple[Pending, ...]) -> Classes:
        held = layer.get(state)
        classes = held.classes if held is not None and held.pending == pending else ()
        return classes if cover is None else (*classes, *cover.classes(state, pending, failed))

    search.begin_with(tuple(_touched(layer, is_touched)))
    search.cover = covering
    search.begin_with(seeds)
    run_to_end(search)


def _touched(layer: Layer, is_touched: IsTouched) -> Iterator[Seed]:
    for state, held in layer.items():
        if is_touched(state.control.memory):
            for bounds, _ in held.classes:
                yield Seed(state, bounds.cells, (), FREE)


def _is_suspect(asked: Layered, search: Search, chain: Chain) -> bool:
    return (
        search.stop is not StopReason.FINISHED
        or any(search.records[place].bad is not None for place in asked.heard(chain))
        or bool(devices_in_time_loop(search))
    )


def _merged(before: tuple[MonitorSummary, ...], search: Search, chain: Chain) -> tuple[MonitorSummary, ...]:
    return tuple(one.merged(summary_of(record, chain)) for one, record in zip(before, search.records, strict=True))
