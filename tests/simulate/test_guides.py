"""A web guide in a run: it follows the other web after the splice, stands while held; the web behind it obeys the law."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from seqcheck.reader.read import read_sequence_text
from seqcheck.simulate.chooser import Chooser, Seeded, earliest, latest
from seqcheck.simulate.curves import Curve, curves_at
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.physical_data import physical_data
from seqcheck.simulate.run import Run
from seqcheck.simulate.sequence_run import network_of
from seqcheck.simulate.simulate import simulate
from seqcheck.web.lateral import lateral_rate_mm_per_s

SPLICE = """\
sequence: guided splice
scan: {period: 10..20 ms, write: 0..5 ms}
line: {speed: 120 m/min}
devices:
  unwind: {type: drive, run: unwind_run, stop: 0.4..0.5 s, start: 0.4..0.5 s, stopped: us}
  guide: {type: web_guide, hold: guide_hold, centre: guide_centre, travel: 75 mm, rate: 20 mm/s, settle: 0.8..2 s,
    accuracy: 0.5 mm, weave: 4 mm, span: 1.5 m, centred: gc}
charts:
  x:
    run: {initial: true, do: [unwind_run], next: {stop: "run.T >= T#3s"}}
    stop: {do: [guide_hold], next: {press: us}}
    press: {do: [guide_hold], next: {centre: "press.T >= T#500ms"}}
    centre: {do: [guide_centre], next: {start: gc}}
    start: {do: [unwind_run], next: {over: "start.T >= T#6s"}}
    over: {do: [unwind_run]}
"""
SEQUENCE = read_sequence_text(SPLICE, "guided.yaml")
NETWORK = network_of(SEQUENCE)


def _run(chooser: Chooser, until_us: int = 9_000_000) -> Run:
    return simulate(NETWORK, chooser, until_us=until_us, data=physical_data(SEQUENCE, NETWORK))


def _record(chooser: Chooser) -> MotionRecord:
    record = _run(chooser).motion
    assert record is not None
    return record


def _curves(record: MotionRecord, times_s: list[float]) -> dict[str, Curve]:
    return {curve.name: curve for curve in curves_at(record, times_s)}


@pytest.mark.parametrize("chooser", [earliest(), latest(), Seeded(seed=5)])
def test_the_distance_says_when_it_is_in_its_centre(chooser: Chooser) -> None:
    run = _run(chooser)
    assert run.disagreements == ()
    assert run.motion is not None
    aims = [arc.aim_mm for arc in run.motion.guide_arcs]
    assert aims == [4.0, 4.0, 0.0, 0.0, -4.0, -4.0]
    centring, centred = run.motion.guide_arcs[2:4]
    assert centred.start_s - centring.start_s == pytest.approx(4.0 / centring.rate_mm_per_s, abs=2e-6)


def test_it_never_moves_faster_than_its_rate() -> None:
    times_s = np.arange(0.0, 9.0, 0.01).tolist()
    places = _curves(_record(earliest()), times_s)["guide_position"].values
    assert max(abs(after - before) for before, after in pairwise(places)) <= 20.0 * 1.05 * 0.01 + 1e-9
    assert (places[0], places[-1]) == (4.0, -4.0)


def test_the_web_behind_it_obeys_the_first_order_law() -> None:
    """Outside check: scipy solve_ivp, driven by the curves of guide and speed themselves."""
    record = _record(Seeded(seed=2))
    arcs = [arc for arc in record.guide_arcs if arc.guide == 0]
    edges = sorted(
        {0.0, 9.0, *(segment.start_s for segment in record.segments), *(arc.start_s for arc in arcs)}
    )

    def rate(time_s: float, offset: list[float]) -> list[float]:
        segment = [part for part in record.segments if part.start_s <= time_s][-1]
        arc = [part for part in arcs if part.start_s <= time_s][-1]
        passed_s = time_s - segment.start_s
        speed = segment.speeds_m_per_s[0] + passed_s * segment.accelerations_m_per_s2[0]
        entering_mm = arc.weave_mm - arc.position_at_mm(time_s)
        return [
            lateral_rate_mm_per_s(
                entering_mm=entering_mm, position_mm=offset[0], speed_m_per_s=speed, span_m=1.5
            )
        ]

    state = [0.0]
    for start_s, end_s in pairwise(edges):
        inside = np.linspace(start_s, end_s, 5)[:-1].tolist()
        solved = solve_ivp(
            rate, (start_s, end_s), state, t_eval=inside, rtol=1e-9, atol=1e-11, max_step=0.005
        )
        found = _curves(record, inside)["guide_offset"].values
        assert found == pytest.approx(solved.y[0].tolist(), abs=2e-3)
        whole = solve_ivp(rate, (start_s, end_s), state, rtol=1e-9, atol=1e-11, max_step=0.005)
        state = [float(whole.y[0, -1])]


def test_after_the_splice_the_other_web_lies_off_at_first_and_is_guided_back() -> None:
    """By hand: 4 mm off, made up in 0.2 s, as the unwind gathers speed at 4.4 m/s2: 4.4 / 1.5 x (-0.08 + 0.0533) = -0.079 mm."""
    times_s = np.arange(0.0, 9.0, 0.02).tolist()
    offsets = _curves(_record(Seeded(seed=2)), times_s)["guide_offset"].values
    assert min(offsets) == pytest.approx(-0.079, abs=0.01)
    assert abs(offsets[-1]) < 0.01
    assert max(abs(value) for value in offsets[:140]) == 0.0
