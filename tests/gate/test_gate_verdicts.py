"""What the gate says of a change: each kind of change by the smallest edit that earns it, in a real repository."""

import json

import pytest
from gate.workshop import PRESS, Workshop


def changes(workshop: Workshop, *arguments: str) -> tuple[int, list[tuple[str, str, str]]]:
    """The exit code, and level, kind and requirement of each change."""
    code = workshop.gate("--json", "gate.json", *arguments)
    data = json.loads((workshop.folder / "gate.json").read_text(encoding="utf-8"))
    return code, [(part["level"], part["kind"], part["requirement"] or "") for part in data["changes"]]


def test_nothing_changed(workshop: Workshop) -> None:
    assert changes(workshop) == (0, [])


def test_comments_and_layout_are_no_change(workshop: Workshop) -> None:
    workshop.edit("revision: 1", "revision: 2   # another day")
    workshop.edit("alarms:\n", "\n# words\nalarms:\n")
    assert changes(workshop) == (0, [])


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("press_request AND hood_closed AND press_open", "press_request AND press_open", ("blocks", "newly violated", "R1")),
        ("press_request AND hood_closed AND press_open", "press_request AND press_open", ("blocks", "interlock lost", "R1")),
        ("reaches: [ready], within: 1 s", "reaches: [ready], within: 480 ms", ("blocks", "newly violated", "R2")),
        ("pressing: press_request AND", "pressing: FALSE AND", ("blocks", "newly vacuous", "R2")),
        ("  - {id: R3, never: press.is_out AND press.is_home}\n", "", ("blocks", "removed", "R3")),
        ("within: 1 s", "within: 2 s", ("blocks", "weakened", "R2")),
        ("only while: hood_closed AND press_open", "only while: hood_closed", ("blocks", "weakened", "R1")),
        ("given: no operator act but request", "given: no operator act", ("blocks", "weakened", "R2")),
        ("never: press.is_out AND press.is_home", "never: press.is_out AND press.is_home AND hood.is_open",
         ("blocks", "weakened", "R3")),
        ("out: 120..250 ms", "out: 120..390 ms", ("warns", "margin lost", "R2")),
        ("out: 120..250 ms", "out: 120..390 ms", ("warns", "slower", "R2")),
        ("out: 120..250 ms", "out: 120..200 ms", ("note", "faster", "R2")),
        ("next: {ready: press_open}", "next: {ready: press_open AND NOT press_closed}", ("note", "diagram changed", "")),
        ("- {id: R3,", "- {id: R3b, never: press.is_moving AND press.is_out}\n  - {id: R3,", ("note", "requirement added", "R3b")),
    ],
)  # fmt: skip
def test_an_edit_earns_its_change(workshop: Workshop, old: str, new: str, expected: tuple[str, str, str]) -> None:
    workshop.edit(old, new)
    code, found = changes(workshop)
    assert expected in found
    assert code == (1 if any(level == "blocks" for level, _, _ in found) else 0)


def test_a_stronger_requirement_is_not_called_weaker(workshop: Workshop) -> None:
    """A limit lowered, a condition added to what must hold: nothing is taken away."""
    workshop.edit("within: 1 s", "within: 990 ms")
    assert [kind for _, kind, _ in changes(workshop)[1]] == []


def test_a_lost_permissive_is_told_although_nobody_asks_for_it_any_more(workshop: Workshop) -> None:
    """The requirement was weakened together with the chart: it holds, but the base's permissive does not."""
    workshop.edit("AND hood_closed AND press_open", "AND press_open")
    workshop.edit("only while: hood_closed AND press_open", "only while: press_open")
    _, found = changes(workshop)
    assert ("blocks", "interlock lost", "R1") in found
    assert ("blocks", "newly violated", "R1") not in found


def test_undecided_alone_has_its_own_exit_code(workshop: Workshop) -> None:
    workshop.git("switch", "--quiet", "--create", "more")
    assert workshop.gate("--json", "base.json") == 0
    workshop.edit("revision: 1", "revision: 2")
    code, found = changes(workshop, "--base-result", "base.json", "--most-classes", "3", "--no-cache")
    assert code == 3
    assert {kind for level, kind, _ in found if level == "blocks"} == {"newly undecided"}


def test_a_deleted_sequence_blocks(workshop: Workshop) -> None:
    (workshop.folder / "sequences/press.yaml").unlink()
    assert changes(workshop, "sequences") == (1, [("blocks", "sequence deleted", "")])


def test_a_deleted_sequence_that_is_named_blocks_too(workshop: Workshop) -> None:
    (workshop.folder / "sequences/press.yaml").unlink()
    assert changes(workshop, "sequences/press.yaml") == (1, [("blocks", "sequence deleted", "")])


def test_a_renamed_sequence_keeps_its_history(workshop: Workshop) -> None:
    workshop.git("mv", "sequences/press.yaml", "sequences/other.yaml")
    workshop.edit("within: 1 s", "within: 2 s", "sequences/other.yaml")
    code, found = changes(workshop)
    assert code == 1
    assert ("note", "sequence renamed", "") in found
    assert ("blocks", "weakened", "R2") in found


def test_a_new_sequence_that_does_not_hold_blocks(workshop: Workshop) -> None:
    workshop.write("sequences/two.yaml", PRESS.replace("Trial press", "Other").replace("within: 1 s", "within: 400 ms"))
    code, found = changes(workshop)
    assert code == 1
    assert found == [("note", "sequence added", ""), ("blocks", "newly violated", "R2")]


def test_what_was_broken_before_only_warns(workshop: Workshop) -> None:
    workshop.edit("within: 1 s", "within: 400 ms")
    workshop.commit()
    workshop.edit("revision: 1", "revision: 2")
    assert changes(workshop) == (0, [("warns", "still broken", "R2")])


def test_a_variant_changes_with_its_base(workshop: Workshop) -> None:
    """The variant's own text stays; the file it is made from does not."""
    workshop.write("sequences/fast.yaml", "base: press.yaml\nsequence: Fast press\ndevices:\n  press: {back: 100..200 ms}\n")
    workshop.commit()
    workshop.edit("out: 120..250 ms", "out: 120..390 ms")
    workshop.gate("--json", "gate.json", "sequences/fast.yaml")
    data = json.loads((workshop.folder / "gate.json").read_text(encoding="utf-8"))
    assert {(part["kind"], part["requirement"]) for part in data["changes"]} >= {("margin lost", "R2"), ("slower", "R2")}


def test_the_work_tree_and_the_index_stay_as_they_are(workshop: Workshop) -> None:
    workshop.edit("revision: 1", "revision: 2")
    workshop.git("add", "--all")
    workshop.edit("revision: 2", "revision: 3")
    before = workshop.git("status", "--porcelain", "--untracked-files=no"), (workshop.folder / ".git/index").read_bytes()
    workshop.gate()
    assert (workshop.git("status", "--porcelain", "--untracked-files=no"), (workshop.folder / ".git/index").read_bytes()) == before
