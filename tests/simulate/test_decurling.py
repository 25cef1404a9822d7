"""The decurler in a run: at its rate to where the diameter wants it, following, backed off for the splice."""

from __future__ import annotations

import pytest

from seqcheck.reader.read import read_sequence_text
from seqcheck.simulate.chooser import Chooser, Seeded, earliest, latest
from seqcheck.simulate.curves import curves_at, sample_times_us
from seqcheck.simulate.cycle_runs import run_cycle, sampler_of
from seqcheck.simulate.decurling import Doing
from seqcheck.simulate.motion import MotionRecord
from seqcheck.simulate.physical_data import physical_data
from seqcheck.simulate.run import Run
from seqcheck.simulate.sequence_run import network_of
from seqcheck.simulate.simulate import simulate
from seqcheck.web.decurl import DecurlLaw

LINE = """\
sequence: decurler
scan: {period: 10..20 ms, write: 0..5 ms}
line: {speed: 240 m/min, stop: 2.0..2.5 s, start: 3.0..4.0 s}
roll: {outside: 1200 mm, core: 76 mm}
web: {width: 420 mm, caliper: 0.45 mm, grammage: 55 g/m2}
devices:
  unwind: {type: drive, run: unwind_run, stop: 1.0..1.2 s, start: 1.0..1.2 s}
  roll: {type: roll, low: roll_low, remaining: 10..20 s, unwind: unwind}
  decurler: {type: decurler, engage: decurl, at full: 12 mm, at core: 45 mm, rate: 30 mm/s, initially: home,
    home: decurler_home, in_range: decurler_ready}
charts:
  x:
    run: {initial: true, do: [unwind_run, decurl], next: {back: "run.T >= T#4s"}}
    back: {do: [unwind_run], next: {again: "decurler_home AND back.T >= T#3s"}}
    again: {do: [unwind_run, decurl]}
"""
SEQUENCE = read_sequence_text(LINE, "decurler.yaml")
NETWORK = network_of(SEQUENCE)
LAW = DecurlLaw(at_full_mm=12.0, at_core_mm=45.0, outside_m=1.2, core_m=0.076)


def _run(chooser: Chooser, diameter_m: float = 0.3) -> Run:
    data = physical_data(SEQUENCE, NETWORK)
    return simulate(NETWORK, chooser, until_us=12_000_000, data=data, diameters_m=(diameter_m,))


def _record(run: Run) -> MotionRecord:
    assert run.motion is not None
    return run.motion


def _curves(record: MotionRecord) -> tuple[list[float], list[float], list[float]]:
    times_us = sample_times_us(record, 10_000)
    curves = {curve.name: curve for curve in curves_at(record, [time / 1e6 for time in times_us])}
    times_s = [time / 1e6 for time in times_us]
    return times_s, list(curves["decurler_position"].values), list(curves["roll_diameter"].values)


@pytest.mark.parametrize("chooser", [earliest(), latest(), Seeded(seed=3)])
@pytest.mark.parametrize("diameter_m", [0.3, 0.15, 1.2])
def test_physics_and_sequence_agree_on_how_long_it_takes(chooser: Chooser, diameter_m: float) -> None:
    run = _run(chooser, diameter_m)
    assert run.disagreements == ()
    assert [arc.doing for arc in _record(run).arcs] == [
        Doing.HOME,
        Doing.ENGAGES,
        Doing.FOLLOWS,
        Doing.BACKS_OFF,
        Doing.HOME,
        Doing.ENGAGES,
        Doing.FOLLOWS,
    ]


def test_the_curve_is_the_law_while_it_follows_and_home_while_backed_off() -> None:
    record = _record(_run(Seeded(seed=1)))
    starts = [arc.start_s for arc in record.arcs]
    times_s, places, sizes = _curves(record)
    for time_s, place, size in zip(times_s, places, sizes, strict=True):
        if starts[2] + 1e-5 < time_s < starts[3] or time_s > starts[6] + 1e-5:
            assert place == pytest.approx(LAW.position_mm(size), rel=1e-9)
        elif starts[4] <= time_s <= starts[5]:
            assert place == 0.0


def test_a_decurler_found_in_range_and_not_told_to_stay_leaves_from_there() -> None:
    text = LINE.replace("initially: home,", "initially: in_range,").replace(
        "do: [unwind_run, decurl], next", "do: [unwind_run], next"
    )
    sequence = read_sequence_text(text, "decurler.yaml")
    network = network_of(sequence)
    data = physical_data(sequence, network)
    run = simulate(network, earliest(), until_us=3_000_000, data=data, diameters_m=(0.3,))
    first, second = _record(run).arcs[:2]
    assert (first.doing, second.doing) == (Doing.BACKS_OFF, Doing.HOME)
    assert second.start_s == pytest.approx(LAW.position_mm(0.3) / (30.0 * 1.05), rel=1e-4)
    assert run.disagreements == ()


def test_the_curve_never_moves_faster_than_its_rate() -> None:
    times_s, places, _ = _curves(_record(_run(earliest())))
    for number in range(1, len(times_s)):
        passed_s = times_s[number] - times_s[number - 1]
        assert abs(places[number] - places[number - 1]) <= 30.0 * 1.05 * passed_s + 1e-3


CYCLE = LINE.replace(
    'run: {initial: true, do: [unwind_run, decurl], next: {back: "run.T >= T#4s"}}',
    "run: {initial: true, do: [unwind_run, decurl], next: {back: p}}",
).replace(
    "again: {do: [unwind_run, decurl]}", "again: {do: [unwind_run, decurl], next: {run: decurler_ready}}"
)


def test_in_many_runs_the_way_is_as_long_as_the_diameter_of_each_asks_for() -> None:
    """It goes at its rate to the position that a roll asks for which has become smaller since the start of the run."""
    text = CYCLE.replace("devices:\n", "devices:\n  request: {type: pushbutton, pressed: p}\n")
    sampler = sampler_of(read_sequence_text(text, "decurler.yaml"), "x.back..x.run")
    for number in range(20):
        found = run_cycle(sampler, seed=4, number=number)
        assert found.run.disagreements == []
        assert found.run.physics is not None and found.diameter_m is not None
        engaging, follows = found.run.physics.decurling.arcs[-2:]
        assert (engaging.doing, follows.doing) == (Doing.ENGAGES, Doing.FOLLOWS)
        gone_mm = (follows.start_s - engaging.start_s) * engaging.rate_mm_per_s
        assert gone_mm == pytest.approx(follows.position_mm, abs=1e-3)
        assert 30.0 * 0.95 <= engaging.rate_mm_per_s <= 30.0 * 1.05
        assert follows.position_mm >= LAW.position_mm(found.diameter_m)
