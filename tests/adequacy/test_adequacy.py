"""What becomes of each change of a small sequence, worked out by hand beside the file."""

from __future__ import annotations

from pathlib import Path

import pytest

from seqcheck.adequacy.adequacy import Adequacy, AdequacyOptions, adequacy_of
from seqcheck.adequacy.change import ChangeKind
from seqcheck.adequacy.changes import changes_of
from seqcheck.adequacy.interlock_score import interlock_scores
from seqcheck.adequacy.suggestion import suggestion
from seqcheck.adequacy.trial import How, Notice
from seqcheck.adequacy.try_change import Fate
from seqcheck.reader.read import read_sequence, read_sequence_text

PRESS = Path(__file__).parent / "press.yaml"
SOUND = Path(__file__).parents[1] / "defects" / "sound_splice.yaml"


def with_requirements(*lines: str) -> str:
    """The press with more requirements."""
    return PRESS.read_text(encoding="utf-8") + "".join(f"  {line}\n" for line in lines)


def tried(text: str, **options: object) -> Adequacy:
    """The adequacy of a text, in this process."""
    return adequacy_of(read_sequence_text(text, "press.yaml"), AdequacyOptions(**options))  # type: ignore[arg-type]


def fates(adequacy: Adequacy) -> dict[str, str]:
    """By the text of each change its fate, and who noticed how."""
    return {
        outcome.change.text: f"{outcome.tried.notice.requirement} {outcome.tried.notice.how}"
        if outcome.tried.notice is not None
        else outcome.tried.fate.value
        for outcome in adequacy.outcomes
    }


@pytest.fixture(scope="module")
def press() -> Adequacy:
    """All changes of the press."""
    return adequacy_of(read_sequence(PRESS))


def test_the_interlock_notices_what_opens_it_and_what_keeps_the_press_open_for_ever(press: Adequacy) -> None:
    """Without its action in `pressing` the output comes on in `held` only, which is entered with the press out: never."""
    assert {text: fate for text, fate in fates(press).items() if fate.startswith("I1")} == {
        "'hood_closed' dropped on the way main.ready to pressing": "I1 violated",
        "'hood_closed' negated on the way main.ready to pressing": "I1 violated",
        "press_close dropped in main.pressing": "I1 vacuous",
        "press_close left on in main.ready": "I1 violated",
    }


def test_what_the_way_before_has_already_decided_is_equivalent(press: Adequacy) -> None:
    """`ready: NOT hood_closed` comes first, so `hood_closed` on the second way says nothing, and the two exclude each other."""
    assert [outcome.change.text for outcome in press.of(Fate.EQUIVALENT)] == [
        "'hood_closed' dropped on the way main.pressing to held",
        "the way main.pressing to ready after that to held",
    ]


def test_the_score_leaves_out_what_is_equivalent(press: Adequacy) -> None:
    assert (press.count(Fate.NOTICED), press.count(Fate.UNNOTICED), press.count(Fate.INVALID)) == (4, 20, 0)
    assert press.score == 4 / 24
    [score] = interlock_scores(press)
    assert (score.requirement.id, score.output, score.noticed, score.by_itself) == ("I1", "press_close", 4, 4)


@pytest.mark.parametrize(
    ("requirement", "text", "how"),
    [
        (
            "{id: N, interlock: press_close, only while: requested}",
            "'requested' dropped on the way main.ready to pressing",
            "N violated",
        ),
        (
            "{id: N, between: main.held.X, and: main.ready.X, at least: 50 ms, given: anything}",
            "'main.held.T >= T#50ms' dropped on the way main.held to ready",
            "N violated",
        ),
        (
            "{id: N, when: main.pressing.X, then: press_late OR NOT main.pressing.X, within: 170 ms, under: any one fault}",
            "watchdog of 150 ms in main.pressing removed",
            "N violated",
        ),
        (
            "{id: N, when: main.pressing.X, then: press_late OR NOT main.pressing.X, within: 170 ms, under: any one fault}",
            "watchdog of 150 ms in main.pressing stretched to 300 ms",
            "N violated",
        ),
        ("{id: N, always: NOT main.held.X OR press_close}", "press_close dropped in main.held", "N violated"),
        ("{id: N, never: press_late}", "press.out takes up to 180 ms", "N violated"),
        (
            "{id: N, no: main.held.X, before: press.is_out, since: main.ready.X}",
            "the way main.pressing to ready leads to held",
            "N violated",
        ),
        (
            "{id: N, no: main.held.X, before: press.is_out, since: main.ready.X}",
            "'pressed' dropped on the way main.pressing to held",
            "N violated",
        ),
    ],
)
def test_a_requirement_about_the_place_notices(requirement: str, text: str, how: str) -> None:
    assert fates(tried(PRESS.read_text(encoding="utf-8")))[text] == "unnoticed"
    assert fates(tried(with_requirements(f"- {requirement}")))[text] == how


def test_a_watchdog_whose_expiry_is_read_cannot_be_removed() -> None:
    text = PRESS.read_text(encoding="utf-8").replace("ready: NOT hood_closed,", "ready: NOT hood_closed OR pressing.late,")
    found = tried(text, kinds=(ChangeKind.REMOVE_WATCHDOG,))
    [outcome] = found.of(Fate.INVALID)
    assert outcome.tried.reason == "main.pressing.late is read, and its step has no watchdog"
    assert found.score is None


def test_a_watchdog_that_never_expires_may_be_removed_or_stretched_without_a_difference() -> None:
    """The press is out after 90 ms at most; without failures a watchdog of 150 ms never expires."""
    found = tried(PRESS.read_text(encoding="utf-8"), faults=0, kinds=(ChangeKind.REMOVE_WATCHDOG, ChangeKind.STRETCH_WATCHDOG))
    assert [outcome.tried.fate for outcome in found.outcomes] == [Fate.EQUIVALENT, Fate.EQUIVALENT]


def test_a_requirement_that_does_not_hold_notices_nothing() -> None:
    found = tried(with_requirements("- {id: N, never: press_close}"))
    assert found.not_held == (Notice("N", How.VIOLATED),)
    assert "N violated" not in fates(found).values()


def test_a_limit_on_classes_makes_undecided_not_unnoticed() -> None:
    found = tried(PRESS.read_text(encoding="utf-8"), most_classes=3)
    assert found.count(Fate.UNDECIDED) == 17
    assert [outcome.change.text for outcome in found.of(Fate.UNNOTICED)] == [
        "'requested' dropped where alarm press_late is cleared",
        "'requested' negated where alarm press_late is cleared",
        "watchdog of 150 ms in main.pressing removed",
        "watchdog of 150 ms in main.pressing stretched to 300 ms",
    ], "nothing that is watched depends on the alarm, so nothing had to be explored"


def test_two_processes_find_what_one_finds() -> None:
    sequence = read_sequence(PRESS)
    alone, together = (adequacy_of(sequence, AdequacyOptions(jobs=jobs)) for jobs in (1, 2))
    assert [outcome.tried for outcome in alone.outcomes] == [outcome.tried for outcome in together.outcomes]
    assert alone.coverage == together.coverage


def test_a_sample_is_every_nth_change() -> None:
    found = tried(PRESS.read_text(encoding="utf-8"), every=5)
    assert [outcome.tried.number for outcome in found.outcomes] == [0, 5, 10, 15, 20, 25]
    assert found.total == 26


def test_an_interrupt_keeps_what_was_found() -> None:
    def stop(what: str, done: int, _total: int, _classes: int) -> None:
        if what == "changes" and done == 3:
            raise KeyboardInterrupt

    found = tried(PRESS.read_text(encoding="utf-8"), report=stop)
    assert found.is_interrupted
    assert [outcome.tried.number for outcome in found.outcomes] == [0, 1, 2]


def test_an_interrupt_before_the_first_change_leaves_nothing() -> None:
    def stop(*_progress: object) -> None:
        raise KeyboardInterrupt

    found = tried(PRESS.read_text(encoding="utf-8"), report=stop)
    assert (found.is_interrupted, found.outcomes, found.coverage) == (True, (), None)


@pytest.mark.parametrize("path", [PRESS, SOUND], ids=lambda path: path.stem)
def test_every_suggestion_is_a_line_that_the_file_can_take(path: Path) -> None:
    sequence, text = read_sequence(path), path.read_text(encoding="utf-8")
    suggestions = dict.fromkeys(suggestion(sequence, change) for change in changes_of(sequence))
    lines = (line.replace("id: NEW", f"id: NEW{number}") for number, line in enumerate(suggestions))
    more = "".join(f"  {line}\n" for line in lines)
    read = read_sequence_text(text + more, "more.yaml")
    assert len(read.requirements) == len(sequence.requirements) + len(suggestions)


def test_what_is_suggested_holds_and_notices() -> None:
    """Of two unnoticed changes: the line pasted into the file holds there, and the change is noticed by it."""
    sequence = read_sequence(PRESS)
    found = {outcome.change.text: outcome.change for outcome in adequacy_of(sequence).of(Fate.UNNOTICED)}
    for text in ("'requested' dropped on the way main.ready to pressing", "press_close dropped in main.held"):
        again = tried(with_requirements(suggestion(sequence, found[text])))
        assert again.not_held == ()
        assert fates(again)[text] == "NEW violated"
