"""Concrete runs: exact times at either end, nothing passed over, the same seed the same run."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from simulate.trial_files import concrete, monitors_of, trial

from seqcheck.kernel.event import FREE, READ, Cause
from seqcheck.kernel.network import Network
from seqcheck.kernel.pending import pending_events
from seqcheck.kernel.start import normal_start
from seqcheck.language.sequence import Hypothesis
from seqcheck.simulate.chooser import Chooser, Scripted, Seeded, earliest, latest
from seqcheck.simulate.drawn_run import Allowed
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.recording import event_table
from seqcheck.simulate.run import Run, RunStop
from seqcheck.simulate.scenario import scenario_of
from seqcheck.simulate.scenario_run import run_scenario
from seqcheck.simulate.simulate import simulate
from seqcheck.simulate.stage import Stage
from seqcheck.simulate.strategies import Drawing, DrawnRun, Setting, drawn_runs

SPLICER = trial("splicer")
NETWORK = concrete(SPLICER)
PRESS = Intervention(time_us=15_000, does=Does.ACT, subject="request", action="presses")
RELEASE = Intervention(time_us=100_000, does=Does.ACT, subject="request", action="releases")


def _times(run: Run) -> list[tuple[int, str]]:
    return [(row.time_us, row.what) for row in event_table(NETWORK, run.schedule)]


def test_the_earliest_splice_takes_its_earliest_times() -> None:
    """Every time is the sum of earliest times: reads every 4 ms, writes at once, clamp 120 and 100 ms, knife 180 ms.

    The knife is turned back on its last few millimetres; a motion that is turned round may take no time at
    all (design, 3).
    """
    run = simulate(NETWORK, Scripted(earliest(), (PRESS, RELEASE)), until_us=2_000_000, cross_check=SPLICER)
    assert _times(run) == [
        (0, "start"),
        (15_000, "request presses"),
        (16_000, "controller splice enters clamping"),
        (16_000, "outputs written"),
        (21_000, "clamp going_out"),
        (100_000, "request releases"),
        (136_000, "clamp arriving_out"),
        (136_000, "controller splice enters cutting"),
        (136_000, "outputs written"),
        (141_000, "clamp out"),
        (141_000, "knife going_out"),
        (316_000, "knife arriving_out"),
        (316_000, "controller splice enters back"),
        (316_000, "outputs written"),
        (316_000, "knife resumed_going_back"),
        (316_000, "knife arriving_home"),
        (320_000, "controller splice enters opening"),
        (320_000, "outputs written"),
        (321_000, "knife home"),
        (325_000, "clamp going_back"),
        (420_000, "clamp arriving_home"),
        (420_000, "controller splice enters ready"),
        (425_000, "clamp home"),
    ]
    assert run.stop is RunStop.QUIET
    assert [(item.moments_us, item.value_us) for item in run.durations] == [((16_000, 420_000), 404_000)]


def test_the_latest_splice_takes_its_latest_times() -> None:
    """Reads every 10 ms, writes 4 ms later, clamp 250 ms, knife 260 and 300 ms, clamp 220 ms."""
    run = simulate(NETWORK, Scripted(latest(), (PRESS, RELEASE)), until_us=3_000_000, cross_check=SPLICER)
    entered = [(row.time_us, row.steps) for row in event_table(NETWORK, run.schedule) if row.steps]
    assert entered == [
        (0, ("splice.ready",)),
        (20_000, ("splice.clamping",)),
        (280_000, ("splice.cutting",)),
        (550_000, ("splice.back",)),
        (860_000, ("splice.opening",)),
        (1_090_000, ("splice.ready",)),
    ]
    assert [item.value_us for item in run.durations] == [1_070_000]


def test_a_failure_happens_at_its_named_time() -> None:
    """A jammed knife leaves the chart in `cutting` until its watchdog, 400 ms after the step was entered."""
    jam = Intervention(time_us=150_000, does=Does.FAIL, subject="knife.jams")
    run = simulate(NETWORK, Scripted(earliest(), (PRESS, RELEASE, jam)), until_us=2_000_000)
    assert (150_000, "knife fails: jams (knife.jams)") not in _times(run)
    assert [row.time_us for row in event_table(NETWORK, run.schedule) if "knife.jams" in row.what] == [
        150_000
    ]
    assert (540_000, "controller splice enters faulted") in _times(run)


def test_what_cannot_be_done_is_told() -> None:
    """A button that is not pressed cannot be released."""
    run = simulate(NETWORK, Scripted(earliest(), (RELEASE,)), until_us=200_000)
    assert run.missed == ("request releases at 100 ms",)


def test_violations_are_told_with_their_reasons() -> None:
    """The hood opened while the knife moves violates R2."""
    opened = Intervention(time_us=200_000, does=Does.ACT, subject="hood", action="opens")
    run = simulate(NETWORK, Scripted(latest(), (PRESS, RELEASE)), until_us=250_000)
    assert run.violations(monitors_of(SPLICER)) == ()
    run = simulate(NETWORK, Scripted(earliest(), (PRESS, RELEASE, opened)), until_us=250_000)
    monitors = monitors_of(SPLICER)
    found = {(monitors[item.monitor].requirement, why) for item, why in run.violations(monitors)}
    assert found == {("R2", "what must not be so holds")}


@pytest.mark.parametrize("limit", [0, 1, 25])
def test_the_limit_on_events_stops_a_run(limit: int) -> None:
    run = simulate(NETWORK, earliest(), until_us=10_000_000, most_events=limit)
    assert len(run.schedule.happenings) + len(run.schedule.idle_read_times_us) <= limit
    assert run.stop is (RunStop.EVENTS if limit < 2 else RunStop.QUIET)


@pytest.mark.parametrize("name", ["splicer", "qualifiers"])
def test_a_seed_fixes_the_run(name: str) -> None:
    """The same seed gives the same run, another seed another."""
    network = concrete(trial(name))

    def run(seed: int) -> Run:
        chooser = Seeded(seed=seed, act_gap_us=(0, 100_000), failure_probability=0.05)
        return simulate(network, chooser, until_us=2_000_000)

    assert run(7) == run(7)
    assert run(7).schedule != run(8).schedule


def check_conserved(network: Network, run: Run) -> None:
    """Every event fires inside its range, nothing pending is passed over, and reads are periodic."""
    state, now_us, last_read_us = run.schedule.start, 0, 0
    since_us = {event.key: 0 for event in pending_events(network, state)}
    waiting = sorted(run.schedule.idle_read_times_us)
    for happening in run.schedule.happenings:
        while waiting and waiting[0] <= happening.time_us and happening.time_us > now_us:
            last_read_us = check_read(network, last_read_us, waiting.pop(0))
        pending = {event.key: event for event in pending_events(network, state) if event.key != READ}
        for key, event in pending.items():
            assert event.latest_us is None or happening.time_us <= since_us[key] + event.latest_us
        now_us, event = happening.time_us, happening.edge.event
        if event.cause is Cause.READ:
            last_read_us = check_read(network, last_read_us, now_us)
        elif event.key != FREE:
            assert now_us >= since_us[event.key] + pending[event.key].earliest_us
        state = happening.edge.target
        kept = set(happening.edge.kept)
        since_us = {
            part.key: since_us[part.key] if part.key in kept and part.key in since_us else now_us
            for part in pending_events(network, state)
        }


def check_read(network: Network, last_us: int, now_us: int) -> int:
    assert network.shortest_period_us <= now_us - last_us <= network.longest_period_us
    return now_us


DRAWING = Drawing(
    stage=Stage(NETWORK),
    starts=normal_start(NETWORK),
    settings=(
        Setting(
            allowed=Allowed(hypothesis=Hypothesis(count=1), until_us=2_000_000), enough=lambda _item: False
        ),
    ),
)


@given(drawn=drawn_runs(DRAWING))
@settings(max_examples=15, deadline=None)
def test_any_drawn_run_keeps_to_the_ranges_and_agrees_with_independent_charts(drawn: DrawnRun) -> None:
    run = drawn.run
    check_conserved(NETWORK, run)
    followed = run_scenario(NETWORK, scenario_of(NETWORK, run.schedule, "drawn", (), run.end_us), SPLICER)
    assert followed.note == ""
    assert followed.schedule.happenings == run.schedule.happenings


@given(seed=st.integers(0, 1000))
@settings(max_examples=20, deadline=None)
def test_random_acts_and_failures_keep_to_the_ranges(seed: int) -> None:
    chooser: Chooser = Seeded(seed=seed, act_gap_us=(0, 200_000), failure_probability=0.1, most_failures=2)
    run = simulate(NETWORK, chooser, until_us=2_000_000, cross_check=SPLICER)
    assert run.note == ""
    check_conserved(NETWORK, run)
