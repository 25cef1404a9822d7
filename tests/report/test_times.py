"""Worst times of the fault table and of cause and effect against those of requirements, which are explored with monitors of
their own."""

import pytest
from report.guarded_knife import judged, review

from seqcheck.explore.bounds import BoundsStore
from seqcheck.report.aged_seed import with_new_age
from seqcheck.report.cause_effect import Reaction
from seqcheck.report.fault_table import Notice

CAUSES = [
    ("stop.is_pressed", "knife.is_moving", "NOT stop.is_pressed"),
    ("stop.is_pressed", "press.is_moving", "NOT stop.is_pressed"),
    ("stop.is_pressed", "knife_fire", "NOT stop.is_pressed"),
    ("stop.is_pressed", "safety.is_on", "NOT stop.is_pressed"),
    ("NOT safety.is_on", "knife.is_moving", "safety.is_on"),
]
"""Cause, effect, and what takes the cause back."""


def test_reactions_are_those_of_requirements() -> None:
    """The requirement is given up when somebody takes the cause back, since in the table nobody acts after it."""
    texts = [f"when: {cause}, then: NOT {effect}, within: 900 ms, until: {back}" for cause, effect, back in CAUSES]
    cells = [review().cause_effect.cell(cause, effect) for cause, effect, _ in CAUSES]
    assert [cell.worst_us for cell in cells] == [outcome.measures[0].worst for outcome in judged(*texts)]
    assert {cell.reaction for cell in cells} == {Reaction.STOPS}


def test_an_output_that_is_off_by_then_never_was_on() -> None:
    assert review().cause_effect.cell("hood.is_open", "knife_fire").reaction is Reaction.NEVER_ON


def test_an_output_that_is_not_taken_away_may_stay_on() -> None:
    """Opening the hood does not take its own unlock output away."""
    cell = review().cause_effect.cell("hood.is_open", "hood_unlock")
    assert (cell.reaction, cell.worst_us) == (Reaction.MAY_STAY, None)


def test_requirements_that_ask_for_a_reaction_stand_beside_it() -> None:
    assert review().cause_effect.cell("stop.is_pressed", "safety.is_on").requirements == ("T1",)
    assert review().cause_effect.cell("stop.is_pressed", "knife.is_moving").requirements == ("T2",)


@pytest.mark.parametrize("failure", ["knife.jams", "knife.valve_sticks", "press.jams", "safety.lost"])
def test_detection_is_that_of_a_requirement(failure: str) -> None:
    """A jam while nobody but the start button acts: the worst over all steps is what `detects` measures."""
    (outcome,) = judged(f"detects: [{failure}], within: 3 s, under: 'fault {failure}', given: no operator act but start")
    rows = [row for row in review().faults.rows_of(failure) if row.detection_us is not None]
    assert max(row.detection_us or 0 for row in rows) == outcome.measures[0].worst


def test_a_jam_is_noticed_and_ends_safe() -> None:
    (row,) = [row for row in review().faults.rows_of("press.jams") if row.step == "cut.pressing"]
    assert row.notice is Notice.ALWAYS
    assert row.ends_in == ("cut.faulted",)
    assert not row.runs_on
    assert row.prompts == ("Put it right and press start",)
    assert "alarm late comes" in row.effects


def test_a_failure_without_alarm_is_marked() -> None:
    """A home switch that breaks in `ready` keeps the machine from starting, and nobody is told why."""
    (row,) = [row for row in review().faults.rows_of("press.home_signal_stuck_off") if row.step == "cut.ready"]
    assert (row.notice, row.alarms, row.detection_us) == (Notice.NEVER, (), None)


def test_every_failure_has_rows_or_is_silent() -> None:
    faults = review().faults
    shown = {row.failure for row in faults.rows} | {name for name, _ in faults.silent}
    assert len(shown) == review().head.failure_modes
    assert not {row.failure for row in faults.rows} & {name for name, _ in faults.silent}


def test_every_alarm_has_its_suspects() -> None:
    """An alarm that comes first after a failure has that failure among its suspects."""
    entries = {entry.alarm: {suspect.failure for suspect in entry.suspects} for entry in review().troubleshooting.alarms}
    assert list(entries) == ["tripped", "late"]
    for row in review().faults.rows:
        for alarm in row.alarms:
            assert row.failure in entries[alarm]


def test_inputs_tell_suspects_apart() -> None:
    entry = review().troubleshooting.alarms[1]
    looks = {suspect.failure: dict(suspect.look_at) for suspect in entry.suspects}
    assert looks["press.jams"]["press_home"] != looks["knife.jams"]["press_home"]
    assert all(set(look) == set(entry.inputs) for look in looks.values())


def test_acts_that_raise_an_alarm_without_failure_are_told() -> None:
    assert "stop presses" in review().troubleshooting.alarms[0].without_fault


def test_a_new_age_is_what_it_would_be_had_it_begun_with_the_rest() -> None:
    """Two independent events and an age, begun together, against the age added to the table of the two."""
    store = BoundsStore()
    both = ((3, 9), (0, 1 << 60))
    assert with_new_age(store.initial(both).cells, 100) == store.initial((*both, (100, 100))).cells


def test_a_new_age_after_time_has_passed_keeps_what_is_known_of_the_rest() -> None:
    """Events 1 and 2 are due within 4 and 6; the age is due 100 later than now, so at most 100 after each."""
    cells = (0, -1, -2, 4, 0, 1, 6, 4, 0)
    grown = with_new_age(cells, 100)
    assert grown[15] == 0
    assert (grown[12], grown[13], grown[14]) == (100, 99, 98)
    assert (grown[3], grown[7], grown[11]) == (-100, -96, -94)
