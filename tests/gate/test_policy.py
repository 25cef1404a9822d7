"""What a team lets pass: levels, thresholds, waivers and their dates, and policies that cannot be used."""

import json
from datetime import date
from pathlib import Path

import pytest
from gate.workshop import Workshop

from seqcheck.errors import SequenceFileError
from seqcheck.gate.change import ChangeKind
from seqcheck.gate.policy_file import policy_of, read_policy

WAIVER = """
[[tool.seqcheck.gate.waivers]]
requirement = "R2"
reason = "new cylinder, retest on Monday"
approver = "safety reviewer"
expires = 2030-01-31
"""


def levels(workshop: Workshop, *arguments: str) -> tuple[int, dict[str, str]]:
    code = workshop.gate("--json", "gate.json", *arguments)
    data = json.loads((workshop.folder / "gate.json").read_text(encoding="utf-8"))
    return code, {part["kind"]: part["level"] for part in data["changes"]}


def test_a_policy_says_what_blocks_and_what_warns(workshop: Workshop) -> None:
    workshop.edit("out: 120..250 ms", "out: 120..390 ms")
    workshop.write("pyproject.toml", '[tool.seqcheck.gate]\nblock = ["margin lost"]\nwarn = ["diagram changed"]\n')
    assert levels(workshop) == (1, {"margin lost": "blocks", "slower": "note"})


def test_thresholds_decide_when_a_margin_counts_as_lost(workshop: Workshop) -> None:
    workshop.edit("out: 120..250 ms", "out: 120..290 ms")  # worst 498 -> 538 ms, margin 502 -> 462 ms: 8 % lost, 8 % slower
    assert levels(workshop) == (0, {"slower": "warns"})
    workshop.write("strict.toml", 'margin-lost = "5 %"\nslower = "20 %"\n')
    assert levels(workshop, "--policy", "strict.toml") == (0, {"margin lost": "warns"})


def test_a_waiver_lets_pass_until_its_last_day(workshop: Workshop) -> None:
    workshop.edit("within: 1 s", "within: 2 s")
    workshop.write("pyproject.toml", WAIVER)
    assert levels(workshop, "--date", "2030-01-31") == (0, {"weakened": "waived"})


def test_an_expired_waiver_blocks_by_itself(workshop: Workshop) -> None:
    workshop.write("pyproject.toml", WAIVER)
    assert levels(workshop, "--date", "2030-02-01") == (1, {"waiver expired": "blocks"})


def test_a_waiver_is_for_one_requirement_and_the_changes_it_names(workshop: Workshop) -> None:
    workshop.edit("within: 1 s", "within: 2 s")
    workshop.write("pyproject.toml", WAIVER + 'changes = ["margin lost"]\n')
    assert levels(workshop, "--date", "2030-01-01") == (1, {"weakened": "blocks"})
    workshop.write("pyproject.toml", WAIVER.replace("R2", "R1"))
    assert levels(workshop, "--date", "2030-01-01") == (1, {"weakened": "blocks"})
    workshop.write("pyproject.toml", WAIVER + 'file = "other/*.yaml"\n')
    assert levels(workshop, "--date", "2030-01-01") == (1, {"weakened": "blocks"})


def test_no_policy_lets_an_unusable_file_pass(workshop: Workshop) -> None:
    workshop.write("sequences/press.yaml", "sequence: [")
    workshop.write("pyproject.toml", "[tool.seqcheck.gate]\nblock = []\nwarn = []\n")
    assert levels(workshop) == (2, {"unreadable": "blocks"})


def test_a_policy_that_changed_with_the_sequence_is_pointed_out(
    workshop: Workshop, capsys: pytest.CaptureFixture[str]
) -> None:
    workshop.write("pyproject.toml", "[tool.seqcheck.gate]\nblock = []\n")
    assert workshop.gate() == 0
    assert "pyproject.toml itself is not what it was in the base" in capsys.readouterr().err


def test_a_policy_names_the_files(workshop: Workshop) -> None:
    workshop.write("pyproject.toml", '[tool.seqcheck.gate]\nfiles = ["machines/**/*.yaml"]\n')
    workshop.git("mv", "sequences", "machines")
    workshop.commit()
    workshop.edit("within: 1 s", "within: 2 s", "machines/press.yaml")
    assert levels(workshop) == (1, {"weakened": "blocks"})


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("block = [", "policy.toml:1:1: expected TOML, found Invalid value"),
        ('blok = ["removed"]', "policy.toml:1:1: expected a key of the gate's policy, found 'blok'; did you mean block?"),
        ('\nblock = ["remowed"]', "policy.toml:2:11: expected a kind of change, found 'remowed'; did you mean removed?"),
        ("block = 3", "policy.toml:1:1: expected a list of texts, found 3"),
        ("margin-lost = 10", 'policy.toml:1:1: expected a share such as "10 %", found 10'),
        ("waivers = 1", "policy.toml:1:1: expected a list of tables ([[...waivers]]), found 1"),
        ('[[waivers]]\nrequirement = "R1"', "policy.toml:1:1: expected a waiver with reason, approver, expires, found none"),
        (WAIVER.replace("tool.seqcheck.gate.", "").replace("2030-01-31", '"soon"'),
         "policy.toml:6:1: expected a day such as 2030-12-31, found 'soon'"),
    ],
)  # fmt: skip
def test_a_policy_that_cannot_be_used_says_where(text: str, problem: str) -> None:
    with pytest.raises(SequenceFileError) as caught:
        policy_of(text, "policy.toml", is_table=False)
    assert str(caught.value).splitlines()[0] == problem


def test_a_pyproject_without_the_table_is_the_usual_policy(tmp_path: Path) -> None:
    path = tmp_path / "pyproject.toml"
    path.write_text("[project]\nname = 'x'\n", encoding="utf-8")
    assert ChangeKind.WEAKENED in read_policy(path).block


def test_a_waiver_reads_its_date() -> None:
    policy = policy_of(WAIVER, "pyproject.toml", is_table=True)
    assert [(waiver.requirement, waiver.expires, waiver.approver) for waiver in policy.waivers] == [
        ("R2", date(2030, 1, 31), "safety reviewer")
    ]


def test_a_day_that_is_none_is_refused(workshop: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    assert workshop.gate("--date", "tomorrow") == 2
    assert "--date: expected a day such as 2030-12-31, found 'tomorrow'" in capsys.readouterr().err
