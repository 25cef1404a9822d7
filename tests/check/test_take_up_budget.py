"""The budget of a take-up accumulator, against the numbers of its mirror image in test_budget.py and those of the bundled cut-over.

The trial takes up 1.81 m at 1 m/s at worst; from emptied (10 %) to filled (28.1 %) there is room for 10 x 1.5 m x 18.1 % = 2.715 m.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from check.budget_file import trial
from requirements.test_take_up import rewinder

from seqcheck.check.budget import Budget, BudgetOptions, budget_sequence
from seqcheck.check.budget_duration import durations_of
from seqcheck.check.budget_edit import with_ramps, with_winding_ramps_of_at_least
from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.language.sequence import Accumulator, Roll, Sequence, Web
from seqcheck.reader.read import read_sequence, read_sequence_text
from seqcheck.simulate.curves import curves_at
from seqcheck.simulate.led_motion import led_motion
from seqcheck.simulate.sequence_run import network_of

CUT_OVER = Path(__file__).resolve().parents[2] / "sequences" / "nonwoven_rewind_cut_over.yaml"


def take_up(stroke: str = "1.5") -> Sequence:
    """The trial with its accumulator at a rewind."""
    return read_sequence_text(rewinder(stroke), "trial.yaml")


@pytest.fixture(scope="module")
def budget() -> Budget:
    """The whole budget of the trial."""
    return budget_sequence(take_up())


@pytest.fixture(scope="module")
def cut_over() -> Budget:
    """The worst draws of the bundled cut-over under any one fault."""
    return budget_sequence(read_sequence(CUT_OVER), BudgetOptions(parts=()))


def test_the_most_web_taken_up_is_attained_and_leaves_room(budget: Budget) -> None:
    [draw] = budget.draws
    assert draw.quantity == "web taken up from the emptied level until the rewind is back"
    assert (draw.drawn_m, draw.attained_m, draw.is_exact) == (pytest.approx(1.81, abs=1e-9), draw.drawn_m, True)
    assert draw.margin_m == pytest.approx(0.905, abs=1e-9)
    assert [level.text for level in budget.proof.levels] == ["emptied level"]


def test_phase_by_phase_as_much_web_as_in_the_mirror(budget: Budget) -> None:
    [draw] = budget.draws
    assert [(phase.step, phase.begin_us, phase.end_us) for phase in draw.phases] == [
        ("c.stop", 0, 1_310_000),
        ("c.start", 1_310_000, 3_310_000),
    ]
    assert [phase.drawn_m for phase in draw.phases] == pytest.approx([0.81, 1.0], abs=1e-9)


def test_limits_are_those_of_the_mirror(budget: Budget) -> None:
    """2.715 m / 1.81 s = 1.5 m/s; 1.81 m / (10 x 18.1 %) = 1 m; 1.81 m / (1.5 m x 18.1 %) = 6.67 strands."""
    assert budget.highest_speed is not None
    assert budget.smallest_stroke_m is not None
    assert budget.smallest_strands is not None
    assert (budget.highest_speed.holds_at, budget.highest_speed.fails_at) == (pytest.approx(1.5), pytest.approx(1.501))
    assert (budget.smallest_stroke_m.holds_at, budget.smallest_stroke_m.fails_at) == (pytest.approx(1), pytest.approx(0.999))
    assert (budget.smallest_strands.holds_at, budget.smallest_strands.fails_at) == (7, 6)


def test_the_critical_path_names_the_ramps_of_the_rewind(budget: Budget) -> None:
    grown = {growth.duration.name: growth.most_us for growth in budget.growths if growth.most_us is not None}
    assert grown == {"rewind.start": 1_810_000, "c: c.stop.T >= T#1300ms": 905_000}
    assert "unwind.start" not in {part.name for part in durations_of(take_up())}


def test_a_cut_over_that_takes_longer_than_its_margin_is_violated() -> None:
    """With 2 m of stroke 3.62 - 1.81 = 1.81 m are left; a scan period of 10 ms more than that is a confirmed run."""
    roomy = take_up("2")
    [dwell] = [part for part in durations_of(roomy) if "stop.T" in part.name]
    grown = [dwell.longer(roomy, growth_us) for growth_us in (1_810_000, 1_820_000)]
    assert [check_sequence(part).requirements[0].verdict.value for part in grown] == ["holds", "violated"]


def test_overspeed_empties_it_again(budget: Budget) -> None:
    """1.81 m at 20 % of 1 m/s."""
    assert budget.refill is not None
    assert budget.refill.to_filled_s == pytest.approx(9.05)


def test_the_margin_over_speed_is_that_of_the_mirror(budget: Budget) -> None:
    mirrored = budget_sequence(trial(), BudgetOptions(parts=("curves",)))
    [speed, diameter] = budget.curves
    assert [(point.at, point.margin_m) for point in speed.points] == [
        (point.at, pytest.approx(point.margin_m, abs=1e-5)) for point in mirrored.curves[0].points
    ]
    assert diameter.missing == "needs web width, caliper, grammage and tension, and the sections roll, line and rewind"


def test_tension_slows_the_ramps_of_the_rewind_over_the_diameter_of_its_roll() -> None:
    """The same roll and web as at an unwind give the same margins."""
    web = Web(
        width_mm=1000, caliper_mm=0.2, grammage_g_per_m2=100, tension_run_n=100, tension_least_n=20, tension_most_n=300
    )
    roll = Roll(outside_mm=1200, core_mm=100)
    options = BudgetOptions(parts=("curves",), compensation=0.5)
    curves = []
    for sequence in (take_up(), trial()):
        machine = replace(sequence.machine, web=web, roll=roll)
        curves.append(budget_sequence(replace(sequence, machine=machine), options).curves[1])
    margins = [[(point.ramp_us, point.margin_m) for point in curve.points] for curve in curves]
    assert [ramp for ramp, _ in margins[0]] == [ramp for ramp, _ in margins[1]]
    assert [margin for _, margin in margins[0]] == pytest.approx([margin for _, margin in margins[1]], abs=1e-5)
    assert margins[0][0][1] != margins[0][-1][1]


def test_edits_of_ramps_reach_the_rewind() -> None:
    slower = with_winding_ramps_of_at_least(take_up(), "rewind", "unwind", 3_000_000).machine.rewind
    assert slower is not None
    assert (slower.stop.earliest_us, slower.start.latest_us) == (3_000_000, 3_000_000)
    doubled = with_ramps(take_up(), lambda within: replace(within, latest_us=9_000_000)).machine.rewind
    assert doubled is not None
    assert doubled.stop.latest_us == 9_000_000


def test_the_bundled_cut_over_is_told_step_by_step(cut_over: Budget) -> None:
    """Worked by hand in the file beside A1: 16.6 m, with a rewind that does not come back."""
    [worst] = [draw for draw in cut_over.draws if draw.is_leading and draw.part.level == 0]
    assert (worst.drawn_m, worst.is_exact) == (pytest.approx(16.6, abs=1e-6), True)
    assert [phase.step.removeprefix("cut_over.") for phase in worst.phases] == [
        "stopping",
        "turning",
        "swinging",
        "attaching",
        "cutting",
        "retracting",
        "starting",
        "standing",
    ]
    assert sum(phase.drawn_m for phase in worst.phases) == pytest.approx(16.6, abs=1e-6)


def sized(sequence: Sequence, room_m: float) -> Sequence:
    """The cut-over with room for just so much from emptied to filled, all levels at the contents they had."""
    store = sequence.machine.accumulator
    assert store is not None
    assert store.emptied_ratio is not None
    filled_ratio = store.emptied_ratio + room_m / (store.strands * store.stroke_m)
    smaller: Accumulator = replace(store, filled_ratio=filled_ratio)
    return replace(sequence, machine=replace(sequence.machine, accumulator=smaller))


@pytest.mark.parametrize(("part", "verdict"), [(0.99, "violated"), (1.01, "holds")])
def test_one_percent_of_room_decides_the_bundled_cut_over(cut_over: Budget, part: float, verdict: str) -> None:
    worst_m = max(draw.drawn_m for draw in cut_over.draws if draw.part.level == 0)
    judged = check_sequence(sized(cut_over.sequence, worst_m * part), CheckOptions(only=("A1",))).requirements[0]
    assert judged.verdict.value == verdict
    assert judged.witness is None or judged.witness.confirmed


def test_the_run_that_refutes_it_takes_up_as_much_in_the_physics(cut_over: Budget) -> None:
    """The run that breaks the room of 16.434 m, with physics led along its times.

    It has the emptied level 10.8 s after the call, sooner than 3.6 m at 0.315 m/s take, so the rewind stops from overspeed: its
    ramp of 1.5 s takes 0.315 m/s x 1.5 s / 2 = 0.24 m more than one from line speed.
    """
    small = sized(cut_over.sequence, 16.6 * 0.99)
    judged = check_sequence(small, CheckOptions(only=("A1",))).requirements[0]
    assert judged.witness is not None
    schedule = judged.witness.schedule
    led = led_motion(small, network_of(small), schedule, judged.witness.end_us)
    assert led is not None
    begin_us = max(
        item.time_us for item in schedule.happenings if item.edge.event.action == "cut_over enters stopping"
    )
    content = next(
        curve.values
        for curve in curves_at(led.record, [begin_us / 1e6, judged.witness.end_us / 1e6])
        if curve.name == "content"
    )
    assert 16.6 * 0.99 - 0.24 <= content[1] - content[0] <= 16.6
