"""Replays: true schedules are confirmed; each way to tamper with one is refused with its time and reason."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest
from simulate.reduced_run import ReducedRun
from simulate.trial_files import concrete, reduced, trial

from seqcheck.kernel.event import Cause
from seqcheck.kernel.part import Control, Positions
from seqcheck.kernel.schedule import Happening, Schedule
from seqcheck.kernel.state import State
from seqcheck.simulate.chooser import Scripted, Seeded, earliest
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.replay import replay
from seqcheck.simulate.simulate import simulate

NAMES = ("splicer", "qualifiers")
NETWORKS = {name: concrete(trial(name)) for name in NAMES}
REDUCED = {name: reduced(trial(name)) for name in NAMES}
NETWORK = NETWORKS["splicer"]
PRESS = Intervention(time_us=15_000, does=Does.ACT, subject="request", action="presses")


def _splice() -> Schedule:
    """The earliest splice, up to the clamp arriving: reads every 4 ms.

    The start is read at 16 ms, written at once.
    """
    return simulate(NETWORK, Scripted(earliest(), (PRESS,)), until_us=136_000).schedule


def _index(schedule: Schedule, cause: Cause) -> int:
    return next(index for index, part in enumerate(schedule.happenings) if part.edge.event.cause is cause)


def _with(schedule: Schedule, index: int, happening: Happening) -> Schedule:
    happenings = (*schedule.happenings[:index], happening, *schedule.happenings[index + 1 :])
    return replace(schedule, happenings=happenings)


def _moved(schedule: Schedule, cause: Cause, by_us: int) -> Schedule:
    index = _index(schedule, cause)
    happening = schedule.happenings[index]
    return _with(schedule, index, replace(happening, time_us=happening.time_us + by_us))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", range(4))
def test_a_simulated_run_replays_as_it_was(name: str, seed: int) -> None:
    """Failures that show at once and quiet ones, acts, times and measures come out the same."""
    chooser = Seeded(seed=seed, act_gap_us=(0, 60_000), failure_probability=0.05, most_failures=2)
    run = simulate(NETWORKS[name], chooser, until_us=2_000_000)
    again = replay(NETWORKS[name], run.schedule)
    assert again.reason == ""
    assert again.confirmed
    assert (again.run.schedule, again.run.noticed) == (run.schedule, run.noticed)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("failures", range(3))
def test_periodic_runs_of_the_reduced_network_are_confirmed(name: str, failures: int) -> None:
    """Inputs chosen and contacts failing at the read become acts and failures just before it."""
    acts = faults = 0
    for seed in range(4):
        schedule = ReducedRun(REDUCED[name], Random(seed), failures).run(300)
        replayed = replay(NETWORKS[name], schedule)
        assert replayed.reason == ""
        assert len(replayed.run.schedule.happenings) >= len(schedule.happenings)
        acts += sum(part.edge.event.cause is Cause.ACT for part in replayed.run.schedule.happenings)
        faults += sum(len(part.edge.event.faults) for part in replayed.run.schedule.happenings)
    assert acts > 0
    assert (faults > 0) == (failures > 0)


@pytest.mark.parametrize(
    ("cause", "by_us", "reason"),
    [
        (Cause.MOVE, -1, "time 20.999 ms: this is not due before 21 ms: clamp going_out"),
        (
            Cause.MOVE,
            35_001,
            "time 56 ms: the machine brings clamp clear_home by 56 ms, the schedule does not",
        ),
        (Cause.READ, -1, "time 15.999 ms: a read comes before 16 ms, a shortest period after the last"),
        (Cause.WRITE, 4_001, "time 20 ms: a read comes before the outputs of the last one are written"),
    ],
)
def test_a_moved_event_is_refused(cause: Cause, by_us: int, reason: str) -> None:
    schedule = _splice()
    assert replay(NETWORK, schedule).confirmed
    replayed = replay(NETWORK, _moved(schedule, cause, by_us))
    assert (replayed.confirmed, replayed.reason) == (False, reason)


def test_a_missing_periodic_read_is_refused() -> None:
    schedule = replace(_splice(), idle_read_times_us=())
    replayed = replay(NETWORK, schedule)
    assert replayed.reason == "time 0 ms: the machine brings a read by 10 ms, the schedule does not"


def test_an_idle_read_that_would_change_something_is_refused() -> None:
    """With the button pressed, the read at 16 ms cannot be idle."""
    schedule = _splice()
    read = _index(schedule, Cause.READ)
    idle = (*schedule.idle_read_times_us[:3], 16_000)
    early = replace(schedule, happenings=schedule.happenings[:read], idle_read_times_us=idle)
    assert (
        replay(NETWORK, early).reason == "time 16 ms: a periodic read that should be idle changes something"
    )


@pytest.mark.parametrize(
    "changed",
    [
        lambda target: target._replace(control=Control((1,) * 20, target.computed, target.written)),
        lambda target: target._replace(control=Control(target.memory, 0, target.written)),
        lambda target: target._replace(positions=Positions((1, 0, 0, 0, 1, 0))),
        lambda target: target._replace(stuck_on=1),
    ],
    ids=["memory", "computed", "positions", "stuck contact"],
)
def test_a_state_that_is_not_reached_is_refused(changed: Callable[[State], State]) -> None:
    schedule = _splice()
    index = _index(schedule, Cause.READ)
    happening = schedule.happenings[index]
    target = changed(happening.edge.target)
    forged = _with(schedule, index, replace(happening, edge=happening.edge._replace(target=target)))
    reason = "the read does not do what the schedule says: controller splice enters clamping"
    assert replay(NETWORK, forged).reason == f"time 16 ms: {reason}"


def test_a_mark_that_no_monitor_makes_is_refused() -> None:
    schedule = _splice()
    index = _index(schedule, Cause.READ)
    happening = schedule.happenings[index]
    marks = tuple(mark._replace(kind="bad") for mark in happening.edge.marks)
    assert marks
    forged = _with(schedule, index, replace(happening, edge=happening.edge._replace(marks=marks)))
    assert "time 16 ms: the monitors do not notice what they should: bad" in replay(NETWORK, forged).reason


def test_a_failure_the_machine_does_not_have_is_refused() -> None:
    schedule = _splice()
    index = _index(schedule, Cause.MOVE)
    happening = schedule.happenings[index]
    event = happening.edge.event._replace(faults=("clamp.melts",))
    forged = _with(schedule, index, replace(happening, edge=happening.edge._replace(event=event)))
    assert replay(NETWORK, forged).reason == "time 21 ms: the machine has no failure clamp.melts"
