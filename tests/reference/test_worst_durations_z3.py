"""Worst and best durations: the explorer's ages against an optimisation by z3, on acyclic sequences."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reference.duration_by_z3 import Durations, durations

from seqcheck.explore.search import Search
from seqcheck.kernel.build import build_network
from seqcheck.kernel.network import NetworkOptions
from seqcheck.kernel.observer import Enters, StopwatchMonitor
from seqcheck.kernel.start import normal_start
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence_text

LENGTH_US = 5_000_000
"""Longer than any of these runs, so that no age ends by itself."""

STROKE = """\
sequence: one stroke and a wait
scan: {{period: {period}, write: {write}}}
devices:
  k: {{type: cylinder, out: {out}, back: {back}, output: k_go, switches: {{out: k_out, home: k_home, band: {band}}}}}
charts:
  x:
    out: {{initial: true, do: [k_go], next: {{hold: k_out}}}}
    hold: {{do: [k_go], next: {{back: "hold.T >= T#{hold}ms"}}}}
    back: {{next: {{done: k_home}}}}
    done: {{}}
"""

BESIDE = """\
sequence: two charts beside each other
scan: {period: 7..11 ms, write: 1..3 ms}
devices:
  k: {type: cylinder, out: 31..77 ms, back: 10..20 ms, output: k_go, switches: {out: k_out}}
  t: {type: timed, on: 40..53 ms, off: 5..9 ms, output: t_go, signal: t_on}
charts:
  x:
    out: {initial: true, do: [k_go], next: {waiting: k_out}}
    waiting: {do: [k_go], next: {done: y.ready.X}}
    done: {}
  y:
    on: {initial: true, do: [t_go], next: {settled: "TON(t_on, T#13ms)"}}
    settled: {do: [t_go], next: {ready: "settled.T >= T#5ms"}}
    ready: {do: [t_go]}
"""


def _stroke(
    period: str = "4..10 ms",
    write: str = "0..4 ms",
    out: str = "120..250 ms",
    back: str = "100..220 ms",
    band: str = "5..40 ms",
    hold: int = 80,
) -> Sequence:
    text = STROKE.format(period=period, write=write, out=out, back=back, band=band, hold=hold)
    return read_sequence_text(text, "stroke.yaml")


@cache
def _stroke_by_z3() -> Durations:
    return durations(_stroke(), "x", "out", "done")


def _explored(sequence: Sequence, chart: str, first: str, last: str) -> Durations:
    monitor = StopwatchMonitor(
        requirement="R", start=(Enters(chart, first),), end=(Enters(chart, last),), at_most_us=None, length_us=LENGTH_US
    )
    network = build_network(sequence, (monitor,), NetworkOptions())
    search = Search(network=network, monitors=(monitor,))
    search.begin_at(normal_start(network))
    search.run()
    (record,) = search.records
    assert record.over is None
    assert record.worst_us is not None
    assert record.best_us is not None
    return Durations(record.worst_us, record.best_us)


def test_a_stroke_alone_takes_as_long_as_z3_says() -> None:
    """By hand: the first read at 4..10 ms, its write 0..4 ms later, the stroke, and a read within 10 ms of the switch."""
    found = _explored(_stroke(), "x", "out", "hold")
    assert found == durations(_stroke(), "x", "out", "hold")
    assert found == Durations(worst_us=274_000, best_us=124_000)


@pytest.mark.parametrize(("first", "last"), [("out", "done"), ("hold", "back"), ("hold", "done"), ("back", "done")])
def test_parts_of_a_stroke_take_as_long_as_z3_says(first: str, last: str) -> None:
    assert _explored(_stroke(), "x", first, last) == durations(_stroke(), "x", first, last)


@pytest.mark.parametrize(("chart", "first", "last"), [("x", "out", "done"), ("x", "waiting", "done"), ("y", "on", "ready")])
def test_charts_beside_each_other_take_as_long_as_z3_says(chart: str, first: str, last: str) -> None:
    sequence = read_sequence_text(BESIDE, "beside.yaml")
    assert _explored(sequence, chart, first, last) == durations(sequence, chart, first, last)


MILLISECONDS = st.tuples(st.integers(1, 60), st.integers(1, 60)).map(lambda pair: f"{min(pair)}..{max(pair)} ms")


@settings(max_examples=8, deadline=None, derandomize=True)
@given(
    st.integers(3, 9),
    st.integers(0, 9),
    MILLISECONDS,
    MILLISECONDS,
    st.sampled_from(["0 ms", "0..2 ms", "1..3 ms", "2 ms"]),
    st.integers(1, 40),
)
def test_strokes_of_any_times_take_as_long_as_z3_says(
    shortest: int, spread: int, out: str, back: str, write: str, hold: int
) -> None:
    sequence = _stroke(f"{shortest}..{shortest + spread} ms", write, out, back, "0..3 ms", hold)
    assert _explored(sequence, "x", "out", "done") == durations(sequence, "x", "out", "done")


@pytest.mark.parametrize(
    "mutant",
    [
        _stroke(out="120..251 ms"),
        _stroke(out="119..250 ms"),
        _stroke(back="100..221 ms"),
        _stroke(period="4..11 ms"),
        _stroke(hold=81),
    ],
    ids=["out later", "out sooner", "back later", "period longer", "hold longer"],
)
def test_an_explorer_that_is_given_one_other_bound_has_another_duration(mutant: Sequence) -> None:
    assert _explored(mutant, "x", "out", "done") != _stroke_by_z3()
