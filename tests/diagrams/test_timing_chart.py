"""Timing charts: what is in them, the same bytes for the same run, and nothing but black, white and grey."""

import re
from pathlib import Path

from seqcheck.diagrams.timing_chart import TimingChart, drawn_chart, timing_chart
from seqcheck.reader.read import read_sequence
from seqcheck.simulate.chooser import Scripted, earliest
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.sequence_run import simulate_sequence

FLAGSHIP = Path(__file__).resolve().parents[2] / "sequences" / "wipes_line_butt_splice.yaml"


def chart() -> TimingChart:
    sequence = read_sequence(FLAGSHIP)
    press = Intervention(time_us=500_000, does=Does.ACT, subject="fault_reset", action="presses")
    return timing_chart(sequence, simulate_sequence(sequence, Scripted(earliest(), (press,)), until_us=3_000_000))


def test_it_shows_steps_outputs_inputs_and_curves() -> None:
    drawn = chart()
    rows = {row.name: row for row in drawn.rows}
    steps = ["standing", "safe", "released", "restarting", "restoring", "line_starting"]
    assert [bar.text for bar in rows["splice"].bars] == steps
    assert rows["unwind_run"].kind == "outputs" and rows["unwind_run"].bars[0].start_s == 0.504  # the next read
    assert rows["fault_reset_pressed"].kind == "inputs"
    assert "trim_fire" not in rows and drawn.unchanged > 10
    assert [panel.label for panel in drawn.panels] == ["speed [m/s]", "content [m]", "diameter [m]", "tension [N]"]
    assert [level.name for level in drawn.panels[1].levels] == ["filled", "running", "reserve"]


def test_the_same_run_gives_the_same_bytes() -> None:
    first, second = drawn_chart(chart(), "svg"), drawn_chart(chart(), "svg")
    assert first == second
    assert b"<dc:date>" not in first
    assert drawn_chart(chart(), "png").startswith(b"\x89PNG")


def test_it_can_be_printed_in_black_and_white() -> None:
    colours = set(re.findall(r"#[0-9a-f]{6}", drawn_chart(chart(), "svg").decode()))
    assert {colour for colour in colours if len({colour[1:3], colour[3:5], colour[5:7]}) > 1} == set()
