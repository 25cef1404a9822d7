"""Copies: one text for several equal parts, with places of that text and the copy's name in every problem."""

from pathlib import Path

import pytest
from reader.two_spindles import TWO_SPINDLES

from seqcheck.errors import Place, SequenceFileError
from seqcheck.language.expression import to_text
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import TimeRange
from seqcheck.reader.read import read_sequence_text

HEAD = "sequence: Trial\nscan: {period: 10 ms, write: 0 ms}\n"
CHART = "charts: {c: {a: {initial: true}}}\n"


def read(text: str) -> Sequence:
    return read_sequence_text(text, "f.yaml")


def problems(text: str) -> list[str]:
    with pytest.raises(SequenceFileError) as caught:
        read(text)
    return str(caught.value).splitlines()


def test_every_section_stands_once_for_each_copy() -> None:
    sequence = read(TWO_SPINDLES)
    assert [device.name for device in sequence.devices] == ["load_a", "load_b", "chuck_a", "chuck_b"]
    assert [flag.name for flag in sequence.flags] == ["busy_a", "busy_b"]
    assert [alarm.text for alarm in sequence.alarms] == ["Chuck of spindle a too late", "Chuck of spindle b too late"]
    assert [chart.name for chart in sequence.charts] == ["spindle_a", "spindle_b"]
    assert [part.id for part in sequence.requirements] == ["R1.a", "R1.b", "R2.a", "R2.b", "R3"]


def test_the_other_copy_has_a_name() -> None:
    first, second = (chart.initial.transitions[0].condition for chart in read(TWO_SPINDLES).charts)
    assert to_text(first) == "load_a_pressed AND NOT busy_b"
    assert to_text(second) == "load_b_pressed AND NOT busy_a"


def test_a_condition_may_speak_of_any_copy_or_every_copy() -> None:
    sequence = read(TWO_SPINDLES.replace("NOT load_<spindle>_pressed}", "EVERY <spindle> (NOT load_<spindle>_pressed)}"))
    assert to_text(sequence.requirements[-1].value("never", object)) == (  # type: ignore[arg-type]
        "chuck_a.is_moving AND NOT busy_a OR chuck_b.is_moving AND NOT busy_b"
    )
    assert to_text(sequence.charts[1].steps[2].transitions[0].condition) == "NOT load_a_pressed AND NOT load_b_pressed"


def test_values_of_a_copy_stand_in_its_text_only() -> None:
    text = f"""{HEAD}copies:
  lift: {{left: {{travel: 3..4 s, side: drive}}, right: {{travel: 4..5 s, side: operator}}}}
devices:
  <lift side>_lift: {{type: timed, output: <lift>_up, on: <lift travel>, off: 1..2 s}}
{CHART}"""
    devices = read(text).devices
    assert [(part.name, part.value("output", str), part.value("on", TimeRange)) for part in devices] == [
        ("drive_lift", "left_up", TimeRange(3_000_000, 4_000_000)),
        ("operator_lift", "right_up", TimeRange(4_000_000, 5_000_000)),
    ]


def test_copies_may_be_copied_again() -> None:
    text = f"""{HEAD}copies: {{s: [a, b], n: [1, 2]}}
devices:
  k_<s>: {{type: free, states: {{s0: {{initial: true, signals: [x_<s>_<n>]}}}}}}
{CHART}"""
    states = read(text).devices[1].entries[0].value
    assert [signal.name for signal in states[0].signals] == ["x_b_1", "x_b_2"]  # type: ignore[index, union-attr]


def test_places_are_those_of_the_text_and_name_the_copy() -> None:
    sequence = read(TWO_SPINDLES)
    assert sequence.devices[3].place == Place("f.yaml", 7, 3, "spindle b")
    condition = sequence.charts[1].initial.transitions[0].condition
    line = TWO_SPINDLES.splitlines()[12]
    names = [part.place for part in condition.operands]  # type: ignore[union-attr]
    assert names[0] == Place("f.yaml", 13, line.index("load_<spindle>") + 1, "spindle b")
    assert names[1] == Place("f.yaml", 13, line.index("NOT busy_") + 1, "spindle b")


def test_a_problem_behind_a_parameter_has_its_own_column_and_names_the_copy() -> None:
    text = TWO_SPINDLES.replace("NOT busy_<other spindle>", "NOT buzy_<other spindle>")
    column = text.splitlines()[12].index("buzy_") + 1
    assert [problem.split("; ")[1] for problem in problems(text)] == [
        "did you mean busy_b? (copy spindle a)",
        "did you mean busy_a? (copy spindle b)",
    ]
    assert all(problem.startswith(f"f.yaml:13:{column}: ") for problem in problems(text))


def test_inside_any_copy_a_problem_keeps_its_column() -> None:
    text = TWO_SPINDLES.replace("AND NOT busy_<spindle>)", "AND NOT buzy_<spindle>)")
    column = text.splitlines()[-1].index("buzy_") + 1
    assert [problem.split(": ")[0] for problem in problems(text)] == [f"f.yaml:19:{column}"] * 2


def test_what_is_written_out_changes_the_copy_of_its_name() -> None:
    sequence = read(TWO_SPINDLES.replace("flags:", "  chuck_b: {out: 200..300 ms}\nflags:"))
    first, second = (sequence.device(name) for name in ("chuck_a", "chuck_b"))
    assert first is not None
    assert second is not None
    assert first.value("out", TimeRange) == TimeRange(100_000, 150_000)
    assert (second.value("out", TimeRange), second.value("back", TimeRange)) == (
        TimeRange(200_000, 300_000),
        TimeRange(100_000, 150_000),
    )


def test_a_variant_changes_all_copies_or_one_and_deletes_one() -> None:
    variant = """\
base: b.yaml
devices:
  chuck_<spindle>: {back: 300..400 ms}
  chuck_a: {out: 500..600 ms}
requirements:
  - {id: R1.b, severity: quality}
  - {R1.a: null}
"""
    sequence = read_sequence_text(variant, "v.yaml", lambda path: (TWO_SPINDLES, Path(path).name))
    devices = {part.name: (part.value("out", TimeRange), part.value("back", TimeRange)) for part in sequence.devices[2:]}
    assert devices == {
        "chuck_a": (TimeRange(500_000, 600_000), TimeRange(300_000, 400_000)),
        "chuck_b": (TimeRange(100_000, 150_000), TimeRange(300_000, 400_000)),
    }
    assert [(part.id, part.severity) for part in sequence.requirements] == [
        ("R1.b", "quality"), ("R2.a", "safety"), ("R2.b", "safety"), ("R3", "safety"),
    ]  # fmt: skip


def test_a_copy_is_deleted_with_null() -> None:
    text = TWO_SPINDLES.replace("charts:", "  late_b: null\ncharts:")
    assert any("found 'late_b'" in problem for problem in problems(text))


@pytest.mark.parametrize(
    ("copies", "problem"),
    [
        ("[a]", "f.yaml:3:9: expected a map of parameters, e.g. {spindle: [a, b]}, found a list"),
        (
            "{s: a}",
            "f.yaml:3:13: expected a list of copies such as [a, b], or a map from each copy to its own values, found the text 'a'",
        ),
        ("{s: [a]}", "f.yaml:3:13: expected two or more copies, each once, found a"),
        ("{s: [a, a]}", "f.yaml:3:13: expected two or more copies, each once, found a, a"),
        ("{s: [a, b-c]}", "f.yaml:3:17: expected letters, digits and underscores, found 'b-c'"),
        ("{other: [a, b]}", "f.yaml:3:10: expected the name of a parameter that is not 'other', found 'other'"),
        ("{s: {a: {x: 1}, b: {}}}", "f.yaml:3:25: expected 'x' in b, as in another copy, found nothing"),
    ],
)
def test_a_section_that_is_wrong(copies: str, problem: str) -> None:
    assert problem in problems(f"{HEAD}copies: {copies}\n{CHART}")


def test_a_parameter_that_there_is_not_has_a_nearest_name() -> None:
    text = TWO_SPINDLES.replace("flags: [busy_<spindle>]", "flags: [busy_<spindel>]")
    assert "f.yaml:8:14: expected a parameter of copies, found 'spindel'; did you mean spindle?" in problems(text)


def test_a_parameter_outside_a_copy_is_a_problem() -> None:
    text = TWO_SPINDLES.replace("  late_<spindle>: {", "  late_a: {")
    assert any("which then stands once for each copy, found '<spindle>'" in problem for problem in problems(text))


def test_two_texts_that_make_one_name_are_a_problem() -> None:
    text = TWO_SPINDLES.replace("flags:", "  <spindle>_chuck_x: {type: pushbutton, pressed: p_<spindle>}\nflags:").replace(
        "<spindle>_chuck_x", "chuck_<other spindle>"
    )
    assert any("expected each name once, found 'chuck_b' again" in problem for problem in problems(text))


def test_copies_of_copies_are_bounded() -> None:
    twelve = "[" + ", ".join(f"x{number}" for number in range(12)) + "]"
    copies = ", ".join(f"{name}: {twelve}" for name in "stuvw")
    text = f"{HEAD}copies: {{{copies}}}\nflags: [f_<s>_<t>_<u>_<v>_<w>]\n{CHART}"
    assert problems(text) == [
        "f.yaml:3:9: expected at most 30000 values with every copy written out, found more"
    ]


def test_a_file_without_copies_knows_no_parameters() -> None:
    assert "found 'busy_<s>'" in problems(f"{HEAD}flags: [busy_<s>]\n{CHART}")[0]


def test_the_names_of_copies_are_kept() -> None:
    (copies,) = read(TWO_SPINDLES).copies
    assert (copies.parameter, copies.values) == ("spindle", ("a", "b"))
    assert ("chuck_a_close", "chuck_b_close") in copies.names
    assert ("busy_b", "busy_a") in copies.names
