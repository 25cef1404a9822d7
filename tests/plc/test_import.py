"""Controller texts read back: what was exported comes back as it was, and what is written by hand becomes a chart."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from plc.exported_controller import exported

from seqcheck.cli.main import run
from seqcheck.errors import SequenceFileError
from seqcheck.plc.charts_yaml import charts_yaml
from seqcheck.plc.controller_charts import controller_charts
from seqcheck.plc.import_text import import_text
from seqcheck.plc.parse_text import parse_text
from seqcheck.reader.read import read_sequence, read_sequence_text

ROOT = Path(__file__).parents[2]
FOLDERS = ("sequences", "tests/defects", "tests/simulate", "tests/plc")
FILES = [path for folder in FOLDERS for path in sorted((ROOT / folder).glob("*.yaml"))]
RESERVED = ("qualifiers", "crossed")
"""Files with names that the standard reserves: `on`, `for`, `step`."""

WHOLE_FILES = [
    path for path in FILES if path.stem not in RESERVED and "\nbase:" not in path.read_text(encoding="utf-8")
]
"""Variants of another file have no devices of their own to join with; reserved names are joined by hand."""


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_export_import_export_is_the_identity(path: Path) -> None:
    text = exported(controller_charts(read_sequence(path)))
    again = exported(import_text(text, "x.st").charts)
    assert parse_text(again, "x.st") == parse_text(text, "x.st")
    if path.stem not in RESERVED:  # a comment may tell the name before it was changed
        assert again == text
    assert exported(import_text(again, "x.st").charts) == again


@pytest.mark.parametrize("path", WHOLE_FILES, ids=lambda path: path.stem)
def test_the_imported_sections_joined_with_the_rest_of_the_file_export_the_same(path: Path) -> None:
    whole = path.read_text(encoding="utf-8")
    text = exported(controller_charts(read_sequence(path)))
    rest = re.sub(r"^(flags|alarms|charts):(.*\n)(([ #].*)?\n)*", "", whole, flags=re.MULTILINE)
    joined = rest + charts_yaml(import_text(text, "x.st").charts, "x.st")
    assert exported(controller_charts(read_sequence_text(joined, str(path)))) == text


HAND = """\
FUNCTION_BLOCK clamp
VAR_INPUT
  start, home, out : BOOL;
END_VAR
VAR_OUTPUT
  valve : BOOL; (* opens the clamp *)
  lamp, horn, kept : BOOL;
END_VAR
VAR CONSTANT
  CLAMPING : INT := 10;
END_VAR
VAR
  state : INT := 0;
  edge : R_TRIG;
  late : TON;
  calm : TOF;
END_VAR
edge(CLK := start);
late(IN := state = CLAMPING, PT := T#2s);
calm(IN := home AND NOT out, PT := T#100ms);
valve := FALSE;
CASE state OF
  0:
    kept := FALSE;
    IF edge.Q AND home OR calm.Q THEN state := CLAMPING; END_IF;
  CLAMPING:
    valve := TRUE;
    kept := TRUE;
    IF late.Q THEN
      state := 20;
    ELSIF out XOR kept THEN
      state := 0;
    END_IF;
  20: // late
    ;
END_CASE;
lamp := state = 10 OR state = 20;
horn := state = 20;
END_FUNCTION_BLOCK
"""

HAND_CHARTS = """\
charts:
  clamp:  # line 1
    step_0:  # line 23
      initial: true
      do:
        - {kept: "R"}  # line 24
      next:
        - {to: CLAMPING, if: "RISING(start) AND home OR TOF(home AND NOT out, T#100ms)"}  # line 25
    CLAMPING:  # line 26
      do:
        - valve  # line 27
        - {kept: "S"}  # line 28
        - lamp  # line 37
      next:
        - {to: step_20, if: "clamp.CLAMPING.T >= T#2s"}  # line 29
        - {to: step_0, if: "out XOR kept"}  # line 31
    step_20:  # line 34
      do:
        - lamp  # line 37
        - horn  # line 38
"""


def test_a_chart_written_by_hand_is_read() -> None:
    imported = import_text(HAND, "clamp.st")
    text = charts_yaml(imported.charts, "clamp.st", imported.notes)
    assert text.partition("charts:\n")[2] == HAND_CHARTS.partition("charts:\n")[2]
    assert "# NOTE: in the text, what a step does" in text


NOT_UNDERSTOOD = [
    ("  20: // late\n    ;", "  20:\n    late(IN := TRUE);", "35:5: expected 'name := TRUE/FALSE'"),
    ("horn := state = 20;", "horn := late.Q;", "38:1: expected below the CASE"),
    ("valve := FALSE;", "IF home THEN valve := FALSE; END_IF;", "21:1: expected above the CASE"),
    ("valve := FALSE;", "Valve := FALSE;", "21:1: expected a name spelled as declared"),
    ("edge.Q AND home", "edge.Q AND valve", "25:19: expected a variable that is not set FALSE above"),
    ("state := 20;", "state := 30;", "30:16: expected a step of the CASE, found 'step_30'"),
    ("state := 20;", "state := 20; horn := TRUE;", "29:8: expected only 'state := ...'"),
    ("lamp, horn, kept : BOOL;", "lamp, horn : BOOL; kept : BOOL := TRUE;", "7:22: expected a variable that begins as FALSE"),
    ("edge : R_TRIG;", "edge : F_TRIG;", "18:1: expected above the CASE"),
    ("state : INT := 0;", "state : INT := 7;", "22:1: expected a step as initial value of state"),
    ("    valve := TRUE;\n", "    WHILE home DO valve := TRUE; END_WHILE;\n", "27:11: expected"),
    ("    valve := TRUE;\n", "    valv := TRUE;\n", "27:5: expected a variable of clamp, found 'valv'; did you mean valve?"),
    ("state = 20;", "state = TRUE;", "37:31: expected a value of type INT, found one of type BOOL"),
    ("END_CASE;\n", "END_CASE;\nCASE state OF 0: ; END_CASE;\n", "37:1: expected one CASE on a variable with the step"),
    ("END_FUNCTION_BLOCK", "", "or END_FUNCTION_BLOCK, found the end of the text"),
]


@pytest.mark.parametrize(("old", "new", "sentence"), NOT_UNDERSTOOD)
def test_what_is_not_understood_is_named_with_its_place(old: str, new: str, sentence: str) -> None:
    assert HAND.count(old) >= 1
    with pytest.raises(SequenceFileError) as caught:
        import_text(HAND.replace(old, new, 1), "clamp.st")
    assert sentence in str(caught.value)


CHANGED = [
    ("knife_fire := TRUE;", "IF knife_home THEN knife_fire := TRUE; END_IF;"),
    ("moved := TRUE;", "moved := FALSE;"),
    ("knife_fire := splice.knife_fire;", "knife_fire := splice.knife_fire OR press_on;"),
    ("IF NOT moved THEN", "IF TRUE THEN"),
]


@pytest.mark.parametrize(("old", "new"), CHANGED)
def test_an_export_changed_out_of_its_form_is_refused_at_the_change(old: str, new: str) -> None:
    text = exported(controller_charts(read_sequence(ROOT / "sequences/carton_line_flying_splice.yaml")))
    before = text.index(old)
    with pytest.raises(SequenceFileError) as caught:
        import_text(text[:before] + new + text[before + len(old) :], "x.st")
    line = text[:before].count("\n") + 1
    assert abs(caught.value.problems[0].place.line - line) <= 2


def test_an_export_changed_within_its_form_is_read_as_changed() -> None:
    text = exported(controller_charts(read_sequence(ROOT / "sequences/carton_line_flying_splice.yaml")))
    changed = text.replace("PT := T#155ms", "PT := T#156ms").replace("_155ms_", "_156ms_")
    assert "156 ms" not in charts_yaml(import_text(text, "x.st").charts, "x.st")
    assert "pressing.T >= T#156ms" in charts_yaml(import_text(changed, "x.st").charts, "x.st")


def test_commands_write_what_they_read(tmp_path: Path) -> None:
    file = ROOT / "tests/simulate/splicer.yaml"
    out, yaml = tmp_path / "s.st", tmp_path / "s.yaml"
    assert run(["export", str(file), "-o", str(out)]) == 0
    assert run(["export", str(file), "-o", str(tmp_path / "t.st")]) == 0
    assert out.read_bytes() == (tmp_path / "t.st").read_bytes()
    assert "file: splicer.yaml, SHA-256 " in out.read_text(encoding="utf-8")
    assert run(["import", str(out), "-o", str(yaml)]) == 0
    assert "within: 400 ms" in yaml.read_text(encoding="utf-8")


def test_a_text_that_is_not_understood_ends_with_2_and_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = tmp_path / "h.st"
    source.write_text(HAND.replace("valve := FALSE;", "valve := home;"), encoding="utf-8")
    assert run(["import", str(source), "-o", str(tmp_path / "h.yaml")]) == 2
    assert "h.st:21:1: expected above the CASE" in capsys.readouterr().err
    assert not (tmp_path / "h.yaml").exists()
