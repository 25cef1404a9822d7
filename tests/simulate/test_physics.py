"""The physics of runs: web is conserved, curves obey the laws they come from, and outside solvers find the same."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import simpy
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from seqcheck.reader.read import read_sequence, read_sequence_text
from seqcheck.simulate.chooser import Chooser, Scripted, Seeded, earliest, latest
from seqcheck.simulate.curves import Curve, curves_at, sample_times_us
from seqcheck.simulate.cycle import act_script
from seqcheck.simulate.cycle_runs import Sampler, run_cycle, run_cycles, sampler_of
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.physical_data import physical_data
from seqcheck.simulate.quick_run import QuickRun
from seqcheck.simulate.roll_length import left_m
from seqcheck.simulate.run import Run
from seqcheck.simulate.scan_times import ScanTimes
from seqcheck.simulate.segment import Segment
from seqcheck.simulate.sequence_run import network_of, simulate_sequence
from seqcheck.simulate.simulate import simulate
from seqcheck.simulate.tension_course import tension_course
from seqcheck.web.accumulator import content_after_m
from seqcheck.web.roll import Roll, roll_inertia_kg_m2
from seqcheck.web.stop_draw import StopTimes, draw_of_stop_m
from seqcheck.web.tension import Span, tension_rate_n_per_s

FLAGSHIP = Path(__file__).resolve().parents[2] / "sequences" / "wipes_line_butt_splice.yaml"
SEQUENCE = read_sequence(FLAGSHIP)
NETWORK = network_of(SEQUENCE)
RESET = (
    Intervention(time_us=100_000, does=Does.ACT, subject="fault_reset", action="presses"),
    Intervention(time_us=300_000, does=Does.ACT, subject="fault_reset", action="releases"),
)


@pytest.fixture(scope="module")
def sampler() -> Sampler:
    return sampler_of(SEQUENCE)


def run_of(chooser: Chooser, until_us: int = 6_000_000) -> Run:
    return simulate(NETWORK, chooser, until_us=until_us, data=physical_data(SEQUENCE, NETWORK))


def lengths_s(record: MotionRecord) -> list[tuple[Segment, float]]:
    ends = [*(segment.start_s for segment in record.segments[1:]), record.end_s]
    return [(segment, end - segment.start_s) for segment, end in zip(record.segments, ends, strict=True)]


def travel_m(segment: Segment, drive: int, time_s: float) -> float:
    return time_s * (segment.speeds_m_per_s[drive] + time_s * segment.accelerations_m_per_s2[drive] / 2)


def record_of(run: Run) -> MotionRecord:
    assert run.motion is not None
    return run.motion


# -- web is conserved -----------------------------------------------------------------------------------------


def check_conserved(record: MotionRecord) -> None:
    """Web in = web out + change of content to 1e-9, and no jump of content or speed between segments."""
    parts = lengths_s(record)
    store = record.data.accumulator
    assert store is not None
    into = out = 0.0
    for (segment, length_s), after in zip(parts, [*record.segments[1:], None], strict=True):
        got, went = travel_m(segment, store.unwind, length_s), travel_m(segment, store.line, length_s)
        into, out = into + got, out + went
        if after is not None:
            assert after.content_m == pytest.approx(segment.content_m + got - went, abs=1e-9)
            for drive in (store.unwind, store.line):
                reached = segment.speeds_m_per_s[drive] + length_s * segment.accelerations_m_per_s2[drive]
                # Times of events are whole microseconds: what an end of ramp rounds is below rate x 1 us.
                assert after.speeds_m_per_s[drive] == pytest.approx(reached, abs=1e-5)
    (content,) = (curve for curve in curves_at(record, (0.0, record.end_s)) if curve.name == "content")
    change = content.values[-1] - content.values[0]
    assert abs(into - out - change) <= 1e-9 * max(1.0, into)


@given(seed=st.integers(0, 10_000), press_us=st.integers(1_000_000, 4_000_000))
@settings(max_examples=4, deadline=None)
def test_web_is_conserved_through_emergency_stops_at_any_moment(seed: int, press_us: int) -> None:
    stop = Intervention(time_us=press_us, does=Does.ACT, subject="stop", action="presses")
    run = run_of(Scripted(Seeded(seed=seed), (*RESET, stop)))
    assert run.disagreements == ()
    check_conserved(record_of(run))


def test_web_is_conserved_in_random_splices(sampler: Sampler) -> None:
    results = run_cycles(sampler, 11, 0, 60)
    assert results.motions is not None and results.unfinished == 0
    assert max(abs(part) for part in results.motions.imbalance) <= 1e-9
    assert min(results.motions.web_in_m) > 100


def test_an_unwind_never_winds_back(sampler: Sampler) -> None:
    for chooser in (Scripted(earliest(), RESET), Scripted(latest(), RESET)):
        record = record_of(run_of(chooser))
        store = record.data.accumulator
        assert store is not None
        assert all(segment.speeds_m_per_s[store.unwind] > -1e-9 for segment in record.segments)


# -- closed forms ---------------------------------------------------------------------------------------------


def test_a_splice_draws_what_its_four_moments_say(sampler: Sampler) -> None:
    """v / 2 ((t2 - t0) + (t3 - t1)) from web/stop_draw.py, which the proof rests on, is what the physics draws."""
    store, data = sampler.data.accumulator, sampler.data  # type: ignore[union-attr]
    assert store is not None and data is not None
    for number in range(10):
        run = run_cycle(sampler, 3, number)
        moments = {
            (link.edge.event.subject, link.edge.event.action): time_us / 1e6 for time_us, link in run.run.links
        }
        times = StopTimes(
            stop_start_s=moments["controller", "splice enters stopping"],
            standstill_s=moments["unwind", "stopped"],
            restart_s=moments["controller", "splice enters starting"],
            at_speed_s=moments["unwind", "at_speed"],
        )
        expected = draw_of_stop_m(line_speed_m_per_s=data.speed_m_per_s, times=times)
        drawn = [segment for segment in run.segments if not segment.is_fed]
        back = next(part for part in run.segments if part.is_fed and part.start_s > drawn[0].start_s)
        assert drawn[0].content_m - back.content_m == pytest.approx(expected, rel=1e-9)
        assert drawn[0].content_m == pytest.approx(store.filled_m, abs=1e-6)


def test_least_content_over_arrays_is_that_of_the_curve(sampler: Sampler) -> None:
    """Looked for in samples 1 ms apart: within what the content moves in that time at line speed, and never below."""
    data, results = sampler.data, run_cycles(sampler, 5, 0, 4)
    assert results.motions is not None and data is not None
    for number, least in enumerate(results.motions.least_content_m):
        run = run_cycle(sampler, 5, number)
        record = MotionRecord(data=data, segments=tuple(run.segments), end_s=run.run.now_us / 1e6, diameters_m=(1.0,))
        stop_s = next(part.start_s for part in run.segments if not part.is_fed)
        back_s = next(part.start_s for part in run.segments if part.is_fed and part.start_s > stop_s)
        sampled = curve_named(record, "content", tuple(np.arange(stop_s, back_s, 1e-3).tolist()))
        assert least is not None
        assert least <= min(sampled.values) <= least + 1e-3 * data.speed_m_per_s


def test_steady_speeds_agree_with_the_plain_relation() -> None:
    record = record_of(run_of(Scripted(earliest(), RESET)))
    store = record.data.accumulator
    assert store is not None
    for segment, after in pairwise(record.segments):
        if not any(segment.accelerations_m_per_s2):
            expected = content_after_m(
                content_m=segment.content_m,
                infeed_speed_m_per_s=segment.speeds_m_per_s[store.unwind],
                outfeed_speed_m_per_s=segment.speeds_m_per_s[store.line],
                duration_s=after.start_s - segment.start_s,
            )
            assert after.content_m == pytest.approx(expected, rel=1e-12)


# -- energy ---------------------------------------------------------------------------------------------------


def test_work_of_web_and_drive_is_the_roll_s_kinetic_energy(sampler: Sampler) -> None:
    """Web pull times speed, less brake torque times turning, integrated by Simpson's rule over each ramp: change of J w^2 / 2.

    The brake torque is T_run r + compensation x J |a| / r (drive takes over its share); the roll counts as of one size in a ramp.
    """
    data = sampler.data
    assert data is not None and data.web is not None and data.accumulator is not None
    web, rolls, unwind = data.web, data.rolls[0], data.accumulator.unwind
    diameter = 0.8
    wound = Roll(
        core_diameter_m=rolls.core_m,
        caliper_m=rolls.caliper_m,
        width_m=web.width_m,
        grammage_kg_per_m2=web.grammage_kg_per_m2,
    )
    inertia, radius = roll_inertia_kg_m2(wound, diameter), diameter / 2
    ramps = [
        (part, after.start_s - part.start_s)
        for part, after in pairwise(run_cycle(sampler, 2, 0).segments)
        if part.accelerations_m_per_s2[unwind]
    ]
    assert len(ramps) >= 4
    for part, length_s in ramps:
        rate, speed = part.accelerations_m_per_s2[unwind], part.speeds_m_per_s[unwind]
        (tensions,) = tension_course(data, [(part, length_s)], remaining_m=left_m(rolls, diameter))
        brake_n_m = web.run_n * radius - (1 - web.share) * inertia * rate / radius
        speeds = [speed + rate * length_s * half / 2 for half in range(3)]
        power = [tensions.enters_before_n * now - brake_n_m * now / radius for now in speeds]
        work = length_s / 6 * (power[0] + 4 * power[1] + power[2])
        energy = inertia / 2 * ((speeds[2] / radius) ** 2 - (speeds[0] / radius) ** 2)
        assert work == pytest.approx(energy, rel=1e-9)


# -- outside: scipy -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", range(3))
def test_tension_before_the_accumulator_is_what_an_integrator_finds(sampler: Sampler, number: int) -> None:
    """scipy.integrate.solve_ivp (DOP853, rtol 1e-9) on the law of web/tension.py, segment by segment."""
    data, run = sampler.data, run_cycle(sampler, 9, number)
    assert data is not None and data.web is not None and data.accumulator is not None
    record = MotionRecord(data=data, segments=tuple(run.segments), end_s=run.run.now_us / 1e6, diameters_m=(0.7,))
    parts = lengths_s(record)
    courses = list(tension_course(data, parts, remaining_m=left_m(data.rolls[0], 0.7)))
    span, store = Span(data.web.span_m, 12_000.0), data.accumulator
    for drive, now, enters in ((store.unwind, 0, 2), (store.line, 1, 3)):
        tension = data.web.run_n
        for (segment, length_s), course in zip(parts, courses, strict=True):
            assert tension == pytest.approx(course[now], abs=1e-6)
            tension = integrated_n(segment, drive, length_s, span, course[enters], tension)
    assert max(course.before_n for course in courses) > data.web.run_n + 0.1


def integrated_n(
    segment: Segment, drive: int, length_s: float, span: Span, entry_n: float, start_n: float
) -> float:
    def rate(time_s: float, tension: np.ndarray) -> list[float]:
        speed = segment.speeds_m_per_s[drive] + time_s * segment.accelerations_m_per_s2[drive]
        return [
            tension_rate_n_per_s(
                span,
                entry_speed_m_per_s=speed,
                exit_speed_m_per_s=speed,
                entry_tension_n=entry_n,
                tension_n=float(tension[0]),
            )
        ]

    if length_s <= 0:
        return start_n
    solved = solve_ivp(rate, (0.0, length_s), [start_n], method="DOP853", rtol=1e-9, atol=1e-9)
    return float(solved.y[0, -1])


def test_content_is_what_an_integrator_finds(sampler: Sampler) -> None:
    """solve_ivp on dc/dt = v_in - v_out with speeds looked up in the curves."""
    data, run = sampler.data, run_cycle(sampler, 4, 1)
    assert data is not None and data.accumulator is not None
    record = MotionRecord(data=data, segments=tuple(run.segments), end_s=run.run.now_us / 1e6, diameters_m=(1.0,))
    times = [time_us / 1e6 for time_us in sample_times_us(record, 500_000)]
    curves = {curve.name: curve for curve in curves_at(record, times)}
    into, out = (np.array(curves[f"{name}_speed"].values) for name in ("unwind", "line"))

    def rate(time_s: float, _content: np.ndarray) -> list[float]:
        return [float(np.interp(time_s, times, into) - np.interp(time_s, times, out))]

    solved = solve_ivp(
        rate, (0.0, times[-1]), [curves["content"].values[0]], t_eval=times, max_step=0.02, rtol=1e-8, atol=1e-8
    )
    assert solved.y[0] == pytest.approx(np.array(curves["content"].values), abs=1e-4)


# -- outside: simpy -------------------------------------------------------------------------------------------


SCAN_US = 8_000


def test_simpy_comes_to_the_same_moments_from_the_numbers_of_the_file(sampler: Sampler) -> None:
    """The splice as a simpy process that polls every 8 ms: earliest times typed from the file, fill and refill in closed form."""
    run = quickest(sampler)
    entered = {
        action.removeprefix("splice enters "): time_us
        for time_us, link in run.links
        if (action := link.edge.event.action).startswith("splice enters ")
    }
    environment, found = simpy.Environment(initial_time=entered["filling"]), {}
    environment.process(splice(environment, found))
    environment.run()
    assert found == entered


def quickest(sampler: Sampler) -> QuickRun:
    """The splice with every time the earliest."""
    assert sampler.ready.physics is not None
    physics = sampler.ready.physics.restarted(lambda least, _most: least)
    scans = ScanTimes(lambda count: np.full(count, SCAN_US))
    script = act_script(sampler.ready.last, 1)
    run = QuickRun(sampler.graph, sampler.ready.node, lambda first, _last: first, scans, physics, script)
    while (link := run.step()) is not None and sampler.end not in link.entered:
        pass
    return run


def splice(environment: simpy.Environment, found: dict[str, float]) -> Iterator[simpy.events.Event]:
    """Steps with what each waits for, microseconds: the longest of device and timer, then the next scan."""

    def step(name: str, *waits_us: float) -> Iterator[simpy.events.Event]:
        yield environment.all_of([environment.timeout(wait_us) for wait_us in waits_us])
        yield environment.timeout(-environment.now % SCAN_US)
        found[name] = environment.now

    excess, rate = 0.45 * 1_000_000 / 952_380, 3.0 / 1.2
    found["filling"] = environment.now
    yield from step("stopping", round((16.0 / excess + excess / rate) * 1e6))
    yield from step("clamping", 900_000, 1_150_000)
    yield from step("cutting", 120_000, 260_000)
    yield from step("retracting", 180_000)
    yield from step("pressing", 340_000)
    yield from step("trimming", 150_000, 600_000)
    yield from step("trimmed", 120_000)
    yield from step("releasing", 150_000, 290_000)
    yield from step("starting", 100_000, 150_000, 260_000)
    yield from step("refilling", 1_000_000)
    standing_us = found["starting"] - found["stopping"]
    drawn_m = 3.0 / 2 * (standing_us + standing_us - 900_000 + 1_000_000 + found["refilling"] - found["starting"] - 1_000_000) / 1e6
    assert 27.2 - drawn_m > 11.2, "the content stays above the running level, so its switches stay on"
    yield from step("levelling", 1)
    yield from step("ready", 40_000_000)


# -- where physics and sequence disagree ----------------------------------------------------------------------


def test_a_fill_time_that_the_machine_cannot_keep_is_told_not_hidden() -> None:
    """16 m at 0.45 m/s take more than 35 s; a file that says 10 to 12 s is wrong about its own machine."""
    text = FLAGSHIP.read_text(encoding="utf-8")
    text = text.replace("    filled_band: 0..50 ms\n", "    filled_band: 0..50 ms\n    fill_time: 10..12 s\n")
    sequence = read_sequence_text(text, "wrong.yaml")
    sampler = sampler_of(sequence)
    run = run_cycle(sampler, 0, 0)
    assert any("its latest" in sentence for sentence in run.run.disagreements), run.run.disagreements


# -- rolls and breaks -----------------------------------------------------------------------------------------

ROLL = """
sequence: A roll that ends
scan: {period: 10 ms, write: 0 ms}
web: {width: 400 mm, caliper: 0.5 mm, grammage: 60 g/m2, tension: {run: 60 N, most: MOST}}
line: {speed: 120 m/min, stop: 2..2 s, start: 2..2 s}
roll: {outside: 1000 mm, core: 100 mm}
unwind: {stop: 1..1 s, start: 1..1 s, overspeed: 10 %, compensation: 0 %}
accumulator: {strands: 10, stroke: 2 m, running: 50 %, filled: 90 %, reserve: 5 %}
devices:
  line: {type: line_drive, run: line_run, initially: stopped}
  unwind: {type: drive, run: unwind_run, initially: stopped}
  accumulator: {type: accumulator, fill: fill, unwind: unwind, line: line}
  roll: {type: roll, low: roll_low, remaining: 20..20 s, unwind: unwind}
  web: {type: web_break, broken: web_broken}
charts:
  main:
    running: {initial: true, do: [line_run, unwind_run], next: {filling: roll_low AND web_broken}}
    filling: {do: [fill]}
requirements:
  - {id: R, text: No., never: line.is_stopped AND roll.is_empty}
"""


def test_the_roll_tells_when_as_much_is_left_as_the_file_says() -> None:
    """D 300 mm, d 100 mm, h 0.5 mm: pi (0.09 - 0.01) / (4 x 0.0005) = 125.66 m; low at 20 s x 2 m/s = 40 m, then 20 s."""
    sequence = read_sequence_text(ROLL.replace("MOST", "500 N"), "roll.yaml")
    simulated = simulate_sequence(sequence, earliest(), until_us=120_000_000, diameters_m=(0.3,))
    times = {
        (item.edge.event.subject, item.edge.event.action): item.time_us / 1e6
        for item in simulated.run.schedule.happenings
    }
    # The unwind starts before the line's ramp is over; what it has moved is the integral of its own speed.
    record = record_of(simulated.run)
    low, out = times["roll", "runs_low"], times["roll", "runs_out"]
    remaining = curve_named(record, "roll_remaining", (0.0, low, out))
    assert remaining.values == pytest.approx((math.pi * 0.08 / 0.002, 40.0, 0.0), abs=1e-4)
    assert out - low == pytest.approx(20.0, abs=1e-5)


def test_the_web_breaks_when_its_tension_is_above_what_it_carries() -> None:
    """At the full roll the start adds J a / r^2 to 60 N: m = 0.4 x 0.06 x L, so more than 70 N; and a web for 500 N holds."""
    held, broken = (
        simulate_sequence(
            read_sequence_text(ROLL.replace("MOST", most), "roll.yaml"), earliest(), until_us=6_000_000
        ).run
        for most in ("500 N", "70 N")
    )
    assert record_of(held).broken_s is None
    at_s = record_of(broken).broken_s
    assert at_s is not None
    before = curve_named(record_of(held), "tension_before", (at_s - 1e-3, at_s, at_s + 1e-3))
    assert before.values[1] == pytest.approx(70.0, abs=1e-6)
    assert before.values[0] < 70.0 < before.values[2]
    assert curve_named(record_of(broken), "tension_before", (at_s + 0.1,)).values == (0.0,)
    assert any(item.edge.event.faults == ("web.breaks",) for item in broken.schedule.happenings)


def curve_named(record: MotionRecord, name: str, times_s: tuple[float, ...]) -> Curve:
    return next(curve for curve in curves_at(record, times_s) if curve.name == name)


# -- one span, any numbers ------------------------------------------------------------------------------------


def hundredths(least: int, most: int) -> st.SearchStrategy[float]:
    """Plain numbers: an integrator takes for ever over a time of 1e-300 s."""
    return st.integers(least * 100, most * 100).map(lambda number: number / 100)


@given(
    speed=hundredths(0, 20),
    rate=hundredths(-5, 5),
    length_s=hundredths(0, 10),
    entry_n=hundredths(0, 500),
    start_n=hundredths(0, 500),
    span_m=hundredths(1, 50),
)
@settings(max_examples=25, deadline=None)
def test_the_exact_step_of_a_span_is_that_of_an_integrator(
    speed: float, rate: float, length_s: float, entry_n: float, start_n: float, span_m: float
) -> None:
    from seqcheck.web.span_response import tension_after_travel_n

    assume(speed + rate * length_s >= 0)
    segment = Segment(0.0, (speed,), (rate,), 0.0, False)
    exact = tension_after_travel_n(
        entry_tension_n=entry_n, tension_n=start_n, travel_m=travel_m(segment, 0, length_s), span_length_m=span_m
    )
    assert exact == pytest.approx(
        integrated_n(segment, 0, length_s, Span(span_m, 1e4), entry_n, start_n), abs=1e-5
    )
