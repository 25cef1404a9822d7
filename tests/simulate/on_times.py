"""Runs with inputs at exact times, and when an output was on: for tables of timers and action qualifiers.

Reads come every 10 ms and outputs are written at once. Times are counted from second 1, so that a table can
begin at 0; an input changes half a period before the read that is to see it.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from seqcheck.kernel.build import build_network
from seqcheck.kernel.network import NetworkOptions
from seqcheck.reader.read import read_sequence_text
from seqcheck.simulate.chooser import Scripted, earliest
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.run import RunStop
from seqcheck.simulate.simulate import simulate

ZERO_US = 1_000_000
PERIOD_US = 10_000
SECOND_US = 1_000_000

Spans = tuple[tuple[float, float], ...]
"""Half-open spans in seconds."""


def on_times(text: str, output: str, pressed: Mapping[str, Spans], *, until_s: float) -> Spans:
    """When `output` was on up to `until_s`, if each button is seen pressed in its spans."""
    sequence = read_sequence_text(text, "table.yaml")
    network = build_network(sequence, (), NetworkOptions(choose=False, at_read=False))
    script = [
        Intervention(time_us=_us(edge_s) - PERIOD_US // 2, does=Does.ACT, subject=button)
        for button, spans in pressed.items()
        for span in spans
        for edge_s in span
    ]
    run = simulate(network, Scripted(earliest(), tuple(script)), until_us=_us(until_s), cross_check=sequence)
    assert (run.missed, run.note) == ((), "")
    assert run.stop in (RunStop.UNTIL, RunStop.QUIET)
    bit = 1 << network.output_names.index(output)
    edges = [(0, False)]
    for happening in run.schedule.happenings:
        is_on = bool(happening.edge.target.written & bit)
        if is_on != edges[-1][1]:
            edges.append((happening.time_us, is_on))
    edges.append((_us(until_s), False))
    return tuple((_s(start_us), _s(end_us)) for (start_us, is_on), (end_us, _) in pairwise(edges) if is_on)


def _us(time_s: float) -> int:
    return ZERO_US + round(time_s * SECOND_US)


def _s(time_us: int) -> float:
    return (time_us - ZERO_US) / SECOND_US
