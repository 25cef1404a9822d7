"""The review as a whole: head, safety calculations, JSON, and the same for any number of processes."""

import hashlib
import json
from pathlib import Path

import pytest
from report.guarded_knife import FUNCTIONS, MACHINE, REQUIREMENTS, outcome, review

from seqcheck.reader.read import read_sequence
from seqcheck.report.build_review import review_of
from seqcheck.report.files import input_files
from seqcheck.report.review_json import plain, review_json
from seqcheck.report.review_options import ReviewOptions
from seqcheck.report.safety_figures import Figure, Judgement


def figure(function: str, quantity: str) -> Figure:
    functions = {part.name: part for part in review().safety.functions}
    return next(part for part in functions[function].figures if part.quantity == quantity)


def test_head_sums_up_the_verdicts() -> None:
    head = review().head
    assert (head.sequence, head.revision, head.date) == ("Guarded knife", "3", "2030-01-31")
    assert (head.holding, head.violated) == (("S2", "T1", "T2"), ("S1", "S3"))
    assert head.scope.on_signals == ("S2",)
    (hood,) = [device for device in head.scope.devices if device.name == "hood"]
    assert (hood.excluded, hood.because) == (("lock_does_not_hold",), "form-locked")
    assert any("qualified person" in sentence for sentence in head.caution)


def test_stopping_time_is_the_proven_one_and_what_is_added() -> None:
    """T2 is proven to be 470 ms at worst; the file adds 10 ms."""
    (measure,) = outcome().requirements[4].measures
    assert measure.worst == 470_000
    assert figure("hood_guarding", "overall stopping time").value == "480 ms"


def test_guard_locking_follows_from_it() -> None:
    """480 ms against 200 mm / 1600 mm/s = 125 ms (ISO 14119 4.3, from memory): needed, and there is a lock."""
    found = figure("hood_guarding", "guard locking")
    assert (found.value, found.judgement) == ("needed", Judgement.MEETS)


def test_unlocking_only_at_standstill_does_not_hold_here() -> None:
    """S1 is violated: with one failure the knife can move behind an open hood."""
    found = figure("hood_guarding", "unlocking only at standstill")
    assert found.judgement is Judgement.FAILS
    assert any("knife.is_moving: NOT always" in line for line in found.working)


def test_performance_level() -> None:
    """B10d 2e6 at 5000 a year: 4000 years, counted as 100; category 3, medium DC: d (ISO 13849-1 Table 7, from memory)."""
    assert figure("hood_guarding", "performance level").value == "d"
    assert "4000 years" in figure("hood_guarding", "performance level of input").working[0]


def test_stop_category_of_what_has_no_energy_of_a_circuit_is_2() -> None:
    """The knife loses its air at once (0); the press has none of the circuit, so its power stays (IEC 60204-1 9.2.2)."""
    found = figure("stopping", "stop category")
    assert (found.value, found.judgement) == ("0, 2", Judgement.FAILS)
    assert "0 or 1" in found.caveat


def test_every_figure_says_its_source() -> None:
    assert all(part.source for function in review().safety.functions for part in function.figures)


def test_json_has_every_table_and_can_be_written() -> None:
    data = json.loads(json.dumps(review_json(review())))
    assert list(data) == [
        "format", "head", "requirements", "interlock_matrix", "fault_table", "troubleshooting", "cause_and_effect",
        "safety_calculations",
    ]  # fmt: skip
    assert data["fault_table"]["rows"][0]["failure"] == "knife.jams"
    assert data["requirements"][0]["verdict"] == "violated"
    assert data["requirements"][0]["witness"][-1]["what"]


def test_what_json_does_not_have_is_refused() -> None:
    with pytest.raises(TypeError, match="no form"):
        plain(object())


def test_several_processes_find_the_same() -> None:
    found = review_of(outcome().sequence, outcome(), ReviewOptions(date="2030-01-31", version="test", jobs=2))
    assert review_json(found) == review_json(review())


def test_digests_are_of_the_file_and_its_base(tmp_path: Path) -> None:
    base, variant = tmp_path / "base.yaml", tmp_path / "variant.yaml"
    base.write_text(MACHINE + REQUIREMENTS + FUNCTIONS, encoding="utf-8")
    variant.write_text("base: base.yaml\nsequence: Variant\n", encoding="utf-8")
    files = input_files(read_sequence(variant))
    assert [Path(part.name).name for part in files] == ["variant.yaml", "base.yaml"]
    assert files[1].sha256 == hashlib.sha256(base.read_bytes()).hexdigest()


def test_without_failures_nothing_is_said_of_them() -> None:
    found = review_of(outcome().sequence, outcome(), ReviewOptions(faults=0))
    assert found.faults.rows == ()
    assert all(cell.always_with_one_fault is None for cell in found.matrix.cells)
    assert found.matrix.cell("knife_fire", "NOT hood.is_open").always_without_fault is True
