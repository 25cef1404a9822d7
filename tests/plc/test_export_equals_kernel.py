"""What was proven is what runs: the exported text, run by an interpreter of its own, against the kernel's controller.

Both get the same inputs at the same times; after every scan steps, outputs, flags and alarms must be equal, and every timer too.
The first scan is at time 0: power-up, when the timers of the initial steps start.
"""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plc.exported_controller import ExportedController, exported
from plc.kernel_controller import ReferenceController
from plc.seeking_inputs import FLIP, SEEK, STAY, SeekingInputs
from plc.timer_pairs import timer_pairs

from seqcheck.language.sequence import Chart, Sequence
from seqcheck.plc.controller_charts import controller_charts
from seqcheck.reader.read import read_sequence

ROOT = Path(__file__).parents[2]
FILES = {
    path.stem: path
    for folder in ("sequences", "tests/defects", "tests/simulate", "tests/plc")
    for path in sorted((ROOT / folder).glob("*.yaml"))
}

GAPS_MS = (1, 2, 7, 10, 30, 100, 400, 5_000)
SCANS = st.tuples(st.sampled_from(GAPS_MS), st.sampled_from((SEEK, SEEK, SEEK, SEEK, FLIP, STAY)), st.integers(0, 2**32))
HISTORIES = st.lists(SCANS, min_size=1, max_size=40)
"""(Milliseconds to the next scan, how its inputs are found, a seed for them).

Random inputs hardly ever let a long chart go on, so mostly they are sought (seeking_inputs.py)."""

STARTS = st.none() | st.integers(0, 2**32)
"""None: in the initial steps. Else a seed for steps that were kept over a power failure, so that runs begin everywhere."""


WITHOUT_TRIPS = " without trips"
"""The same file without the ways out of any step: nothing calls a run off, so that it comes by every step."""

NAMES = (*FILES, *(path.stem + WITHOUT_TRIPS for path in sorted((ROOT / "sequences").glob("*.yaml"))))


@cache
def _sequence(name: str) -> Sequence:
    sequence = read_sequence(FILES[name.removesuffix(WITHOUT_TRIPS)])
    if name in FILES:
        return sequence
    return replace(sequence, charts=tuple(replace(chart, common=()) for chart in sequence.charts))


@cache
def _text(name: str) -> str:
    return exported(controller_charts(_sequence(name)))


@cache
def _pair(name: str) -> tuple[ReferenceController, ExportedController]:
    sequence = _sequence(name)
    return ReferenceController(sequence), ExportedController(controller_charts(sequence), _text(name))


def _start(charts: tuple[Chart, ...], seed: int | None) -> dict[str, str]:
    """One chart in any of its steps; the others in their initial steps, or in any, or where nothing trips the first."""
    chooser = random.Random(seed)
    steps = {chart.name: chart.initial.name for chart in charts}
    if seed is None:
        return steps
    if chooser.random() < 0.5:
        steps = {chart.name: chooser.choice((chart.steps[0], *chart.steps)).name for chart in charts}
    longest = max(charts, key=lambda chart: len(chart.steps))
    chart = chooser.choice((*charts, *[longest] * 3))
    return steps | {chart.name: chooser.choice(chart.steps).name}


def differences(
    kernel: ReferenceController, text: ExportedController, start: int | None, history: list[tuple[int, str, int]]
) -> list[str]:
    """What differs after the first scan in which anything does."""
    steps = _start(text.charts.charts, start)
    kernel.restart(steps)
    text.restart(steps)
    now_us, pairs = 0, timer_pairs(kernel, text)
    inputs = SeekingInputs(text.charts.charts, kernel.inputs, steps)
    for number, (gap_ms, how, seed) in enumerate(history):
        now_us += gap_ms * 1_000 if number else 0
        on = inputs.next(how, seed)
        wanted = kernel.read(now_us, sum(1 << bit for bit, name in enumerate(kernel.inputs) if name in on))
        inputs.entered({chart.name: str(wanted[f"step of {chart.name}"]) for chart in text.charts.charts})
        found = text.scan(now_us, on)
        differ = [f"scan {number}: {key} {wanted[key]} {found[key]}" for key in wanted if wanted[key] != found[key]]
        differ += [f"scan {number}: {pair.told()}" for pair in pairs if not pair.agrees()]
        if differ:
            return differ
    return []


@pytest.mark.parametrize("name", NAMES)
@given(start=STARTS, history=HISTORIES)
@settings(max_examples=15, deadline=None)
def test_exported_text_does_what_the_kernel_does(name: str, start: int | None, history: list[tuple[int, str, int]]) -> None:
    assert differences(*_pair(name), start, history) == []
