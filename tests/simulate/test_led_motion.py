"""Physics led along a run whose times are given: of a run that the physics made itself it finds the same curves."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.chooser import Chooser, Scripted, Seeded, earliest, latest
from seqcheck.simulate.curves import curves_at
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.led_motion import led_motion
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.sequence_run import SequenceRun, simulate_sequence

SEQUENCES = Path(__file__).resolve().parents[2] / "sequences"
WIPES, NONWOVEN = "wipes_line_butt_splice", "nonwoven_rewind_cut_over"
ACTS = {
    WIPES: ((100_000, "fault_reset", "presses"), (300_000, "fault_reset", "releases")),
    NONWOVEN: ((1_000_000, "start", "presses"), (1_200_000, "start", "releases"), (30_000_000, "full_roll", "turns_on")),
}


def simulated(name: str, times: Chooser) -> tuple[Sequence, SequenceRun]:
    sequence = read_sequence(SEQUENCES / f"{name}.yaml")
    script = tuple(Intervention(time_us=at, does=Does.ACT, subject=who, action=what) for at, who, what in ACTS[name])
    return sequence, simulate_sequence(sequence, Scripted(times, script), until_us=60_000_000)


def content_of(record: MotionRecord, times_s: list[float]) -> tuple[float, ...]:
    return next(curve.values for curve in curves_at(record, times_s) if curve.name == "content")


@pytest.mark.parametrize("name", [WIPES, NONWOVEN])
@pytest.mark.parametrize("times", [earliest(), latest(), Seeded(seed=4)], ids=["earliest", "latest", "random"])
def test_a_run_with_physics_of_its_own_is_met_again(name: str, times: Chooser) -> None:
    """Content to 3 cm of 24 and 32 m: what overspeed the run had is found from its levels, which come after it starts."""
    sequence, run = simulated(name, times)
    assert run.run.motion is not None
    led = led_motion(sequence, run.network, run.run.schedule, run.run.end_us)
    assert led is not None
    assert led.notes == ()
    seconds = [tenth / 10 for tenth in range(run.run.end_us // 100_000)]
    assert content_of(led.record, seconds) == pytest.approx(content_of(run.run.motion, seconds), abs=0.03)


def test_a_level_that_comes_when_the_machine_cannot_have_it_is_told() -> None:
    """The same run, with a stroke of 1.2 m instead of 1 m: levels are 20 % further apart than the run has time for."""
    sequence, run = simulated(NONWOVEN, earliest())
    store = sequence.machine.accumulator
    assert store is not None
    larger = replace(sequence, machine=replace(sequence.machine, accumulator=replace(store, stroke_m=1.2)))
    led = led_motion(larger, run.network, run.run.schedule, run.run.end_us)
    assert led is not None
    assert any(note.startswith("take_up emptied at ") for note in led.notes)


def test_without_a_line_there_is_no_motion() -> None:
    sequence, run = simulated(NONWOVEN, earliest())
    bare = replace(sequence, machine=replace(sequence.machine, line=None))
    assert led_motion(bare, run.network, run.run.schedule, run.run.end_us) is None
