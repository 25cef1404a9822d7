"""What the gate and the check write for build servers, held against descriptions that are not ours."""

import json
import re
from pathlib import Path

import jsonschema
import junitparser
import pytest
from gate.workshop import Workshop

from seqcheck.cli.main import run
from seqcheck.gate.gate_schema import gate_schema

SARIF_SCHEMA = json.loads(Path(__file__).with_name("sarif-2.1.0-rtm.5.json").read_text(encoding="utf-8"))
"""Source: see SOURCES.md."""

PARAMETER = r"(?:file|line|endLine|col|endColumn|title)=[^,:]*"
COMMAND = re.compile(rf"::(?:notice|warning|error)(?: {PARAMETER}(?:,{PARAMETER})*)?::[^\r\n]*")
"""`::notice|warning|error file={f},line={l},endLine={e},col={c},endColumn={d},title={t}::{message}`: the build server's
documentation, seen; that `:` and `,` in values are escaped: from memory."""


@pytest.fixture
def broken(workshop: Workshop) -> Workshop:
    """A change that breaks R1, weakens R2 and slows it down."""
    workshop.edit("press_request AND hood_closed AND", "press_request AND")
    workshop.edit("within: 1 s", "within: 2 s")
    workshop.edit("out: 120..250 ms", "out: 120..390 ms")
    return workshop


def test_sarif_is_valid_and_points_at_the_lines(broken: Workshop) -> None:
    assert broken.gate("--sarif", "gate.sarif") == 1
    log = json.loads((broken.folder / "gate.sarif").read_text(encoding="utf-8"))
    jsonschema.Draft4Validator(SARIF_SCHEMA).validate(log)
    run_ = log["runs"][0]
    rules = [rule["id"] for rule in run_["tool"]["driver"]["rules"]]
    assert all(rules[part["ruleIndex"]] == part["ruleId"] for part in run_["results"])  # spec 3.27.7, from memory
    violated = next(part for part in run_["results"] if part["ruleId"] == "newly-violated")
    assert violated["level"] == "error"
    assert violated["locations"][0]["physicalLocation"] == {
        "artifactLocation": {"uri": "sequences/press.yaml"},
        "region": {"startLine": 17, "startColumn": 5},
    }
    flow = violated["codeFlows"][0]["threadFlows"][0]["locations"]
    assert any("ACT: request presses" in part["location"]["message"]["text"] for part in flow)


def test_a_file_name_with_signs_becomes_a_valid_address(workshop: Workshop) -> None:
    workshop.git("mv", "sequences/press.yaml", "sequences/a press #1 ü.yaml")
    workshop.gate("--sarif", "gate.sarif")
    log = json.loads((workshop.folder / "gate.sarif").read_text(encoding="utf-8"))
    jsonschema.Draft4Validator(SARIF_SCHEMA, format_checker=jsonschema.FormatChecker()).validate(log)
    uri = log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert uri == "sequences/a%20press%20%231%20%C3%BC.yaml"


def test_junit_is_read_by_another_program(broken: Workshop) -> None:
    broken.gate("--junit", "gate.xml")
    report = junitparser.JUnitXml.fromfile(str(broken.folder / "gate.xml"))
    cases = {case.name: case for suite in report for case in suite}
    assert set(cases) == {"the whole file", "R1", "R2", "R3"}
    assert [type(part).__name__ for part in cases["R1"].result] == ["Failure"]
    assert "ACT: request presses" in cases["R1"].result[0].text
    assert cases["R2"].result[0].type == "weakened"
    assert "slower" in cases["R2"].system_out
    assert cases["R3"].result == []
    assert (report.tests, report.failures, report.errors) == (4, 2, 0)


def test_annotations_follow_their_documentation(broken: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    broken.gate("--annotations")
    lines = [line for line in capsys.readouterr().out.splitlines() if line.startswith("::")]
    assert lines[0].startswith("::error file=sequences/press.yaml,line=17,col=5,title=seqcheck%3A newly violated::R1")
    assert [line for line in lines if not COMMAND.fullmatch(line)] == []
    assert list(dict.fromkeys(line.split(" ")[0] for line in lines)) == ["::error", "::warning", "::notice"]


def test_the_json_is_as_its_schema_says(broken: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    broken.gate("--json", "gate.json")
    data = json.loads((broken.folder / "gate.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(gate_schema())
    jsonschema.Draft202012Validator(gate_schema()).validate(data)
    capsys.readouterr()
    assert run(["gate", "--schema"]) == 0
    assert json.loads(capsys.readouterr().out) == gate_schema()
    del data["changes"][0]["run"]
    assert not jsonschema.Draft202012Validator(gate_schema()).is_valid(data)


def test_the_summary_shows_margins_old_to_new_and_the_first_run_folded(broken: Workshop) -> None:
    broken.gate("--markdown", "gate.md")
    text = (broken.folder / "gate.md").read_text(encoding="utf-8")
    assert text.startswith("## seqcheck: blocked (")
    assert "| R2 | holds | holds | no fault | duration | 498 ms -> 638 ms | 1 s -> 2 s | 502 ms -> 1.362 s |" in text
    assert text.count("<details>") == text.count("</details>") == 1
    assert "ACT: request presses" in text
    assert "Safety functions belong in safety-rated hardware." in text


def test_nothing_in_a_file_becomes_markup(workshop: Workshop) -> None:
    workshop.edit("{id: R3, ", "{id: R3, text: 'a | b <b>c</b> [x](http://y) @somebody `d`', ")
    workshop.edit("never: press.is_out AND press.is_home", "never: press.is_moving")
    workshop.gate("--markdown", "gate.md")
    text = (workshop.folder / "gate.md").read_text(encoding="utf-8")
    assert "a \\| b &lt;b&gt;c&lt;/b&gt; \\[x\\]\\(http://y\\) @\u200bsomebody \\`d\\`" in text
    rows = [line for line in text.splitlines() if line.startswith("| ")]
    assert {len(re.findall(r"(?<!\\)\|", row)) for row in rows} == {8, 9}


def test_a_saved_result_is_a_base(broken: Workshop) -> None:
    """Without git, as a build server that keeps the last result would do it."""
    assert broken.gate("--json", "base.json") == 1
    assert broken.gate("--base-result", "base.json", "--json", "same.json") == 0
    broken.edit("within: 2 s", "within: 3 s")
    assert broken.gate("--base-result", "base.json", "--json", "again.json") == 1
    data = json.loads((broken.folder / "again.json").read_text(encoding="utf-8"))
    assert {part["kind"] for part in data["changes"] if part["level"] == "blocks"} == {"weakened"}


@pytest.mark.parametrize(
    ("damage", "words"),
    [
        (lambda text: text[:-20], "is no JSON"),
        (lambda text: text.replace('"format": 1', '"format": 7'), "has format 7"),
        (lambda text: text.replace('"seqcheck gate"', '"something"'), "is no result of 'seqcheck gate'"),
        (lambda text: text.replace('"holds"', '"fine"'), "is damaged"),
        (lambda text: text.replace('"sort": "number"', '"sort": "names"'), "is damaged"),
        (lambda text: text.replace('"line": 17', '"line": "x"'), "is damaged"),
    ],
)
def test_a_damaged_saved_result_is_refused(
    workshop: Workshop, capsys: pytest.CaptureFixture[str], damage: object, words: str
) -> None:
    workshop.gate("--json", "base.json")
    text = (workshop.folder / "base.json").read_text(encoding="utf-8")
    damaged = damage(text)  # type: ignore[operator]
    assert damaged != text
    workshop.write("base.json", damaged)
    assert workshop.gate("--base-result", "base.json") == 2
    assert words in capsys.readouterr().err


def test_check_writes_both_too(workshop: Workshop) -> None:
    workshop.edit("press_request AND hood_closed AND", "press_request AND")
    workshop.write("bad.yaml", "sequence: [")
    arguments = ["check", "sequences/press.yaml", "bad.yaml", "--examples", "0", "--jobs", "1"]
    assert run([*arguments, "--junit", "check.xml", "--sarif", "check.sarif"]) == 2
    log = json.loads((workshop.folder / "check.sarif").read_text(encoding="utf-8"))
    jsonschema.Draft4Validator(SARIF_SCHEMA).validate(log)
    assert {part["ruleId"] for part in log["runs"][0]["results"]} >= {"violated", "unreadable"}
    report = junitparser.JUnitXml.fromfile(str(workshop.folder / "check.xml"))
    assert (report.failures, report.errors) == (1, 1)
