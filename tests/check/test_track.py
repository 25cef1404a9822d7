"""Tracks of a splice, against counts worked by hand (see tests/requirements/reject_file.py)."""

from __future__ import annotations

import pytest
from requirements.reject_file import reject_file

from seqcheck.check.options import CheckOptions
from seqcheck.check.track import Track, track_sequence
from seqcheck.errors import UsageError
from seqcheck.reader.read import read_sequence_text
from seqcheck.web.splice_position import CountWindow, Passages


def track_of(text: str) -> Track:
    (track,) = track_sequence(read_sequence_text(text, "trial.yaml"), CheckOptions())
    return track


def test_places_counted_in_the_line() -> None:
    """Entry: the content then is 2..20 m, so up to 1.1 + 4.82 - 2 = 3.92 m. Exit: 5.81..5.92 m. Gate: 10.81..10.92 m.

    Least x 998, most x 1002.
    """
    track = track_of(reject_file())
    assert track.places == Passages(CountWindow(0, 3928), CountWindow(5798, 5932), CountWindow(10788, 10942))
    assert (track.spoilt, track.open_by) == (CountWindow(10688, 11243), 10587)


def test_places_counted_at_the_unwind() -> None:
    """Entry: 1.0..1.1 m. Exit: 2..20 m more. Gate: 5 m more."""
    track = track_of(reject_file(more=", encoder: unwind"))
    assert track.places == Passages(CountWindow(998, 1103), CountWindow(2994, 21143), CountWindow(7984, 26153))


def test_a_late_write_lets_web_pass_before_the_count_is_zero() -> None:
    """Written up to 4 ms late, 4 mm of web may pass uncounted on the 6 m of path and what is stored."""
    track = track_of(reject_file().replace("scan: {period: 10 ms, write: 0 ms}", "scan: {period: 10 ms, write: 0..4 ms}"))
    assert track.places is not None and track.content is not None
    assert track.places.gate.earliest == int((6.0 + track.content.least_m - 0.004) * 998)


def test_without_such_a_requirement_the_file_has_no_track() -> None:
    text = reject_file().replace("reject from: start", "roll lasts until: start")
    text = text[: text.index("requirements:")] + "requirements:\n  - {id: R, never: unwind.is_moving}\n"
    with pytest.raises(UsageError, match=r"trial\.yaml has no requirement 'reject from'"):
        track_of(text)


def test_a_misspelt_id_is_told_the_nearest() -> None:
    sequence = read_sequence_text(reject_file(), "trial.yaml")
    with pytest.raises(UsageError, match=r"called 'r'; did you mean R"):
        track_sequence(sequence, CheckOptions(only=("r",)))


def test_nothing_is_shown_of_a_splice_that_never_is() -> None:
    track = track_of(reject_file().replace("given: anything", "given: no operator act"))
    assert (track.judged.verdict.value, track.content, track.places) == ("vacuous", None, None)
