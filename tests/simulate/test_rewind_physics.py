"""The physics of an accumulator that takes web up before a rewind, in the bundled cut-over: web, levels, tensions.

Source: conservation of length; torque balance of a roll that is wound; balance of forces on the carriage. Worked by hand.
"""

from __future__ import annotations

from itertools import pairwise
from math import pi
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from seqcheck.check.monte_carlo import monte_carlo
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.chooser import Chooser, Scripted, earliest, latest
from seqcheck.simulate.curves import Curve, curves_at, sample_times_us
from seqcheck.simulate.cycle_runs import run_cycles, sampler_of
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.physical_data import physical_data
from seqcheck.simulate.run import Run
from seqcheck.simulate.sequence_run import network_of
from seqcheck.simulate.simulate import simulate
from seqcheck.web.stop_draw import StopTimes, draw_of_stop_m

SEQUENCE = read_sequence(Path(__file__).resolve().parents[2] / "sequences" / "nonwoven_rewind_cut_over.yaml")
NETWORK = network_of(SEQUENCE)
ACTS = (
    Intervention(time_us=1_000_000, does=Does.ACT, subject="start", action="presses"),
    Intervention(time_us=1_200_000, does=Does.ACT, subject="start", action="releases"),
    Intervention(time_us=30_000_000, does=Does.ACT, subject="full_roll", action="turns_on"),
    Intervention(time_us=40_000_000, does=Does.ACT, subject="full_roll", action="turns_off"),
)


def run_of(times: Chooser, until_us: int = 60_000_000) -> Run:
    data = physical_data(SEQUENCE, NETWORK)
    return simulate(NETWORK, Scripted(times, ACTS), until_us=until_us, data=data)


@pytest.fixture(scope="module")
def run() -> Run:
    """One cut-over with everything as early as may be."""
    return run_of(earliest())


def record_of(run: Run) -> MotionRecord:
    assert run.motion is not None
    return run.motion


def moments_s(run: Run) -> dict[tuple[str, str], float]:
    """The last time of each thing that happened."""
    return {
        (item.edge.event.subject, item.edge.event.action): item.time_us / 1e6 for item in run.schedule.happenings
    }


def named(record: MotionRecord, times_s: list[float]) -> dict[str, Curve]:
    return {curve.name: curve for curve in curves_at(record, times_s)}


@pytest.mark.parametrize("times", [earliest, latest])
def test_physics_and_sequence_agree(times: object) -> None:
    assert callable(times)
    assert run_of(times()).disagreements == ()


def test_levels_are_where_the_file_says(run: Run) -> None:
    """24 m: running 25 % = 6 m, emptied 10 % = 2.4 m."""
    moments = moments_s(run)
    ready, emptied = moments["controller", "cut_over enters ready"], moments["take_up", "emptied"]
    content = named(record_of(run), [ready, emptied])["content"].values
    assert content == (pytest.approx(6.0, abs=1e-5), pytest.approx(2.4, abs=1e-5))


def test_what_is_taken_up_is_what_the_formula_of_the_proof_says(run: Run) -> None:
    moments = moments_s(run)
    begin, end = moments["controller", "cut_over enters stopping"], moments["rewind", "at_speed"]
    content = named(record_of(run), [begin, end])["content"].values
    times = StopTimes(
        stop_start_s=begin,
        standstill_s=moments["rewind", "stopped"],
        restart_s=moments["controller", "cut_over enters starting"],
        at_speed_s=end,
    )
    taken_up_m = draw_of_stop_m(line_speed_m_per_s=2.0, times=times)
    assert content[1] - content[0] == pytest.approx(taken_up_m, rel=1e-9)
    assert 8 < taken_up_m < 12.26, "below the proven worst of a rewind that comes back"


def test_the_level_switch_goes_off_when_the_content_passes_the_running_level(run: Run) -> None:
    passed = moments_s(run)["take_up", "taken_up"]
    assert named(record_of(run), [passed])["content"].values[0] == pytest.approx(6.0, abs=1e-5)


def test_web_is_conserved(run: Run) -> None:
    """Web in by the line = web out by the rewind + change of content, to 1e-9 of what runs through."""
    record = record_of(run)
    times = [time_us / 1e6 for time_us in sample_times_us(record, 10**9)]
    curves = named(record, times)
    line, rewind, content = (np.array(curves[name].values) for name in ("line_speed", "rewind_speed", "content"))
    lengths = np.diff(times)
    # Between corners speeds are straight, so the trapezoid rule is exact.
    into, out = (float(((part[1:] + part[:-1]) / 2 * lengths).sum()) for part in (line, rewind))
    assert abs(into - out - (content[-1] - content[0])) / into < 1e-9 + 60e-6 / into
    assert sum(abs(value) for value in monte_imbalance()) < 1e-9


def monte_imbalance() -> tuple[float, ...]:
    motions = run_cycles(sampler_of(SEQUENCE), 3, 0, 20).motions
    assert motions is not None
    return motions.imbalance


def test_content_is_what_an_integrator_finds(run: Run) -> None:
    """scipy.integrate.solve_ivp on dc/dt = v_line - v_rewind with speeds looked up in the curves."""
    record = record_of(run)
    times = [time_us / 1e6 for time_us in sample_times_us(record, 500_000)]
    curves = named(record, times)
    into, out = (np.array(curves[name].values) for name in ("line_speed", "rewind_speed"))

    def rate(time_s: float, _content: np.ndarray) -> list[float]:
        return [float(np.interp(time_s, times, into) - np.interp(time_s, times, out))]

    solved = solve_ivp(
        rate, (0.0, times[-1]), [curves["content"].values[0]], t_eval=times, max_step=0.02, rtol=1e-8, atol=1e-8
    )
    assert solved.y[0] == pytest.approx(np.array(curves["content"].values), abs=1e-4)
    carriage = np.array(curves["carriage_speed"].values)
    assert carriage == pytest.approx((into - out) / 24, abs=1e-9)


def test_after_the_accumulator_the_roll_pulls_and_before_it_the_carriage(run: Run) -> None:
    """In the stop of 1.5 s from 2 m/s.

    After: T + 5 % of J a / r^2, J of 1000 mm on 76 mm: m = 45 g/m2 x 1.6 m x pi (1 - 0.076^2) / (4 x 0.3 mm).
    Before: the carriage gains 2 / 1.5 / 24 m/s2 upwards, so the web feels 150 kg x that / 24 less: followed over a span of 2 m.
    """
    moments = moments_s(run)
    stop, stand = moments["controller", "cut_over enters stopping"], moments["rewind", "stopped"]
    tension = named(record_of(run), [(stop + stand) / 2])
    mass_kg = 0.045 * 1.6 * pi * (1 - 0.076**2) / (4 * 0.0003)
    force_n = 0.05 * mass_kg * (1 + 0.076**2) / 8 * (2 / 1.5) / 0.25
    assert tension["tension_after"].values[0] == pytest.approx(120 + force_n, rel=1e-9)
    settled_n = 120 - 150 * (2 / 1.5 / 24) / 24
    begun_n, before_n = named(record_of(run), [stop, stand - 1e-6])["tension_before"].values
    # The line has moved 3 m through a span of 2 m: e^-1.5 of the change is still to come.
    assert before_n == pytest.approx(settled_n + (begun_n - settled_n) * np.exp(-3.0 / 2), abs=1e-5)


def test_peak_tension_over_arrays_is_that_of_the_curves() -> None:
    sampler = sampler_of(SEQUENCE)
    results = run_cycles(sampler, 5, 0, 3)
    assert results.motions is not None
    assert sampler.data is not None
    from seqcheck.simulate.cycle_runs import run_cycle

    for number, peak in enumerate(results.motions.peak_tension_n):
        one = run_cycle(sampler, 5, number)
        record = MotionRecord(data=sampler.data, segments=tuple(one.segments), end_s=one.run.now_us / 1e6, diameters_m=())
        times = [time_us / 1e6 for time_us in sample_times_us(record, 10_000)]
        curves = named(record, times)
        assert max(max(curves[name].values) for name in ("tension_before", "tension_after")) == pytest.approx(peak, rel=1e-6)


def test_no_sample_takes_up_more_than_is_proven() -> None:
    result = monte_carlo(SEQUENCE, runs=200, seed=1)
    assert result.cycle == "cut_over.emptying..cut_over.ready"
    assert result.disagreements == ()
    assert result.beyond == ()
    room = next(part for part in result.distributions if part.quantity == "least room in the accumulator")
    # Worked by hand: without failures starting comes 1.86 + 0.01 + 2.26 + 0.27 + 0.23 + 0.31 = 4.94 s after the stop began;
    # it stands after 1.5 s and is back after 2.1 s more: 2 m/s / 2 x (4.94 + 4.94 + 2.1 - 1.5) = 10.48 m of 21.6 m.
    assert room.proven.value == pytest.approx(21.6 - 10.48, abs=1e-6)
    assert room.left is not None
    assert 0 <= room.left < 1.5
    assert all(part.proven.value is not None for part in result.distributions)


def test_every_corner_is_a_time_of_its_own(run: Run) -> None:
    assert all(before.start_s < after.start_s for before, after in pairwise(record_of(run).segments))
