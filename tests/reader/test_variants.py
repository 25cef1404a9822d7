"""A variant takes everything from its base and changes some of it."""

from pathlib import Path

import pytest
from reader.smallest_file import SCAN
from reader.splicer_file import SPLICER

from seqcheck.errors import Place, SequenceFileError
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import TimeRange
from seqcheck.reader.read import read_sequence, read_sequence_text


def read_variant(variant: str, **bases: str) -> Sequence:
    """Read `v.yaml`, whose bases are called `<name>.yaml`."""
    return read_sequence_text(variant, "v.yaml", lambda path: (bases[Path(path).stem], path))


def problems_of(variant: str, **bases: str) -> list[str]:
    with pytest.raises(SequenceFileError) as caught:
        read_variant(variant, **bases)
    return str(caught.value).splitlines()


def test_a_variant_that_changes_nothing_reads_like_its_base() -> None:
    variant = read_variant("base: b.yaml\n", b=SPLICER)
    base = read_sequence_text(SPLICER, "b.yaml")
    assert (variant.file, variant.base_file) == ("v.yaml", "b.yaml")
    assert (variant.devices, variant.charts, variant.requirements) == (
        base.devices,
        base.charts,
        base.requirements,
    )


def test_maps_are_joined_and_values_know_their_file() -> None:
    variant = read_variant(
        "base: b.yaml\ndevices: {knife: {out: 300..400 ms}}\nline: {speed: 3 m/s}\n", b=SPLICER
    )
    knife = variant.device("knife")
    assert knife is not None
    out, back = knife.entry("out"), knife.entry("back")
    assert out is not None
    assert back is not None
    assert (out.value, out.place) == (TimeRange(300_000, 400_000), Place("v.yaml", 2, 24))
    assert (back.value, back.place.file) == (TimeRange(200_000, 300_000), "b.yaml")
    assert variant.machine.line is not None
    assert (variant.machine.line.speed_m_per_s, variant.machine.line.stop) == (
        3.0,
        TimeRange(2_000_000, 2_500_000),
    )
    assert [device.name for device in variant.devices][3] == "knife"


def test_null_deletes_what_the_base_has() -> None:
    variant = read_variant("base: b.yaml\nnote: ~\ndevices: {knife: {hazard: null, without: ~}}\n", b=SPLICER)
    knife = variant.device("knife")
    assert knife is not None
    assert (variant.note, knife.hazard, knife.excluded_failures) == (None, None, ())


def test_requirements_are_joined_by_id() -> None:
    text = """\
base: b.yaml
requirements:
  - {id: R1, drop within: 80 ms}
  - {R2: null}
  - {id: R9, never: knife_fire AND NOT hood_closed}
"""
    variant = read_variant(text, b=SPLICER)
    assert [requirement.id for requirement in variant.requirements] == ["R1", "R3", "R9"]
    changed = variant.requirements[0]
    assert (changed.value("drop within", int), changed.clause) == (80_000, "ISO 12100 6.3.2")


def test_lists_are_replaced() -> None:
    text = "base: b.yaml\ncharts: {splice: {faulted: {do: [line_run, unwind_run]}}}\n"
    faulted = read_variant(text, b=SPLICER).chart("splice").steps[3]
    assert [action.variable for action in faulted.actions] == ["line_run", "unwind_run"]
    assert faulted.prompt == "Clear the web"


def test_a_base_may_have_a_base() -> None:
    variant = read_variant(
        "base: m.yaml\nrevision: 9\n", m="base: b.yaml\nrevision: 8\nnote: middle\n", b=SPLICER
    )
    assert (variant.revision, variant.note, variant.name) == ("9", "middle", "Trial splicer")
    assert variant.base_file == "m.yaml"


def test_errors_name_the_file_that_a_value_came_from() -> None:
    broken = SPLICER.replace("prompt: Clear", "promt: Clear")
    assert problems_of("base: b.yaml\ndevices: {knife: {ot: 1 s}}\n", b=broken) == [
        "b.yaml:57:29: expected a field of step faulted, found 'promt'; did you mean prompt?",
        "v.yaml:2:19: expected a field of device knife (cylinder), found 'ot'; did you mean out?",
    ]


def test_a_deleted_device_is_missed_where_it_is_used() -> None:
    problems = problems_of("base: b.yaml\ndevices: {reset_button: null}\n", b=SPLICER)
    assert {problem.partition(": ")[0].partition(":")[0] for problem in problems} == {"b.yaml"}
    assert len([problem for problem in problems if "found 'reset'" in problem]) == 4


BACK = "expected a base that does not come back to this file"


@pytest.mark.parametrize(
    ("variant", "bases", "problem"),
    [
        ("base: v.yaml\n", {}, f"v.yaml:1:7: {BACK}, found 'v.yaml'"),
        ("base: x/../v.yaml\n", {}, f"v.yaml:1:7: {BACK}, found 'x/../v.yaml'"),
        ("base: b.yaml\n", {"b": "base: v.yaml\n"}, f"b.yaml:1:7: {BACK}, found 'v.yaml'"),
        ("base: /b.yaml\n", {}, "v.yaml:1:7: expected a path relative to this file, found '/b.yaml'"),
        ("base: c.yaml\n", {}, "v.yaml:1:7: expected a readable base, found 'c.yaml'"),
        ("base: [b]\n", {}, "v.yaml:1:7: expected the path of the base, relative to this file, found a list"),
    ],
)
def test_a_base_that_cannot_be_one(variant: str, bases: dict[str, str], problem: str) -> None:
    """The variant is complete without its base, so that nothing else is wrong."""
    assert problems_of(f"{variant}{SCAN}charts: {{c: {{a: {{initial: true}}}}}}\n", **bases) == [problem]


def test_five_bases_are_read_and_six_are_not() -> None:
    chain = {f"b{number}": f"base: b{number + 1}.yaml\n" for number in range(1, 6)}
    assert read_variant("base: b2.yaml\n", **chain, b6=SPLICER).name == "Trial splicer"
    problems = problems_of("base: b1.yaml\n", **chain, b6=SPLICER)
    assert "b5.yaml:1:7: expected at most 5 bases one below the other, found more" in problems


def test_a_text_that_stands_alone_has_no_base() -> None:
    with pytest.raises(SequenceFileError, match="expected no base in a text that stands alone"):
        read_sequence_text("base: b.yaml\n", "v.yaml")


def test_a_base_on_disk_is_found_beside_its_variant(tmp_path: Path) -> None:
    (tmp_path / "machines").mkdir()
    (tmp_path / "b.yaml").write_text(SPLICER, encoding="utf-8")
    path = tmp_path / "machines" / "v.yaml"
    path.write_text("base: ../b.yaml\nrevision: 8\n", encoding="utf-8")
    variant = read_sequence(path)
    assert (variant.revision, variant.base_file) == ("8", str(tmp_path / "b.yaml"))


def test_a_base_that_is_no_file_is_a_problem_where_it_is_named(tmp_path: Path) -> None:
    path = tmp_path / "v.yaml"
    path.write_text("base: b.yaml\n", encoding="utf-8")
    with pytest.raises(SequenceFileError) as caught:
        read_sequence(path)
    assert str(caught.value.problems[0].place) == f"{path}:1:1"
    assert any(problem.expected == "the path of a file" for problem in caught.value.problems)
