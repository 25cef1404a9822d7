"""A light curtain with muting: a load that both sensors see passes, a person does not. Source: IEC TS 62046 (from memory)."""

from plant_examples import behaviour

from seqcheck.plant.behaviour import Behaviour, Position

SUBJECT = behaviour("muted_light_curtain")


def driven(subject: Behaviour, name: str, mode: str = "", **drives: bool) -> Position:
    """Where a position goes at once while the drives have these values, on and on."""
    places = {(part.mode, part.name): part for part in subject.positions}
    at = places[mode, name]
    while True:
        due = [
            move
            for move in at.moves
            if move.after is None and move.act is None and all(drives[role] == value for role, value in move.when)
        ]
        if not due:
            return at
        at = places[mode, due[0].to]


def test_both_sensors_mute_it_and_its_signal_stays_on_while_it_is_interrupted() -> None:
    muted = driven(SUBJECT, "watching", first=True, second=True, enable=True)
    assert muted.name == "muted"
    entered = next(move.to for move in muted.moves if move.act == "enters")
    at = next(part for part in SUBJECT.positions if part.name == entered and not part.mode)
    assert (at.facts, at.signals) == ({"is_interrupted", "is_muted"}, {"clear", "muted"})


def test_one_sensor_alone_or_without_enable_mutes_nothing() -> None:
    assert driven(SUBJECT, "watching", first=True, second=False, enable=True).name == "one_on"
    assert driven(SUBJECT, "one_on", first=True, second=True, enable=False).name == "over"
    assert driven(SUBJECT, "watching_interrupted", first=False, second=True, enable=True).signals == frozenset()


def test_muting_ends_with_either_sensor_the_enable_or_its_limit_and_then_both_must_go_off() -> None:
    for drives in ((False, True, True), (True, False, True), (True, True, False)):
        first, second, enable = drives
        assert driven(SUBJECT, "muted", first=first, second=second, enable=enable).name == "over"
    assert driven(SUBJECT, "muted", first=False, second=False, enable=True).name == "watching"
    assert driven(SUBJECT, "over", first=True, second=True, enable=True).name == "over"
    muted = next(part for part in SUBJECT.positions if part.name == "muted_interrupted" and not part.mode)
    (limit,) = [move for move in muted.moves if move.after is not None]
    assert (limit.to, limit.after and limit.after.latest_us) == ("over_interrupted", 10_000_000)


def test_the_second_sensor_must_follow_within_the_concurrence_time() -> None:
    (one_on,) = [part for part in SUBJECT.positions if part.name == "one_on" and not part.mode]
    assert [(move.to, move.after.latest_us) for move in one_on.moves if move.after] == [("over", 4_000_000)]


def test_muting_that_does_not_end_lets_a_person_pass() -> None:
    stuck = driven(SUBJECT, "muted_interrupted", "muting_does_not_end", first=False, second=False, enable=False)
    assert "clear" in stuck.signals
