"""Exporters that are broken on purpose: comparing with the kernel's controller notices each.

Each breakage is a mistake that is easily made: what a naive use of the standard's blocks would do.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from plc.exported_controller import ExportedController, exported
from plc.kernel_controller import ReferenceController
from plc.seeking_inputs import FLIP, SEEK, STAY
from plc.test_export_equals_kernel import GAPS_MS, differences
from simulate.trial_files import trial

from seqcheck.language.sequence import Sequence
from seqcheck.plc.controller_charts import controller_charts
from seqcheck.reader.read import read_sequence


class Trial:
    """A sequence, its kernel controller and its text."""

    def __init__(self, sequence: Sequence) -> None:
        self.charts = controller_charts(sequence)
        self.text = exported(self.charts)
        self.kernel = ReferenceController(sequence)

    def found(self, text: str) -> list[str]:
        """The first difference in a few hundred runs."""
        controller = ExportedController(self.charts, text)
        chooser = random.Random(7)
        for _ in range(150):
            ways = [chooser.choice((SEEK, SEEK, FLIP, STAY)) for _ in range(chooser.randint(1, 40))]
            history = [(chooser.choice(GAPS_MS), how, chooser.getrandbits(32)) for how in ways]
            found = differences(self.kernel, controller, None, history)
            if found:
                return found
        return []


QUALIFIERS = Trial(trial("qualifiers"))
CROSSED = Trial(read_sequence(Path(__file__).parent / "crossed.yaml"))


def _cut(pattern: str, into: str = "") -> Callable[[str], str]:
    return lambda text: re.sub(pattern, into, text, count=1, flags=re.DOTALL)


BREAKAGES: dict[str, Callable[[str], str]] = {
    "a step is looked at a scan late": lambda text: text.replace(
        "IF moved THEN\n  go_late_timer", "IF FALSE THEN\n  go_late_timer"
    ),
    "a late step raises no alarm once it is left": lambda text: text.replace(
        "raise_slow := go_late_timer.Q OR clear_late_timer.Q;\n", ""
    ).replace("n := FALSE;\n", "raise_slow := go_late_timer.Q OR clear_late_timer.Q;\nn := FALSE;\n", 1),
    "charts run in the wrong order": _cut(r"(first\(.*?\);\n)(second\(.*?\);\n)", r"\2\1"),
    "SL runs with its step": _cut(r"IN := first_go_sl_SL_started", "IN := first.go_sl_SL"),
    "SD is started anew": _cut(r"IN := first_go_sd_SD_started", "IN := first.go_sd_SD"),
    "a limit is 1 ms longer": _cut(r"T#20ms\)", "T#21ms)"),
    "an alarm does not stay": _cut(r" OR slow AND NOT in_c"),
    "L does not end": _cut(r"IF NOT go_l_L_timer.Q THEN", "IF TRUE THEN"),
    "P lasts": _cut(r"IF moved THEN\n      p := TRUE", "IF TRUE THEN\n      p := TRUE"),
    "priorities are exchanged": _cut(
        r"IF NOT \((first_step = first_steps#go)\) OR slow THEN(.*?)ELSIF on_1_to_on_1_rising.Q THEN(.*?)END_IF",
        r"IF on_1_to_on_1_rising.Q THEN\3ELSIF NOT (\1) OR slow THEN\2END_IF",
    ),
    "a flag is seen in the scan that writes it": lambda text: text.replace("  told := told,", "  told := told_stored,").replace(
        "second(\n", "IF first.set_told THEN told_stored := TRUE; END_IF;\nsecond(\n", 1
    ),
}


CROSSED_BREAKAGES: dict[str, Callable[[str], str]] = {
    "step timers are not started anew on a self-transition": _cut(r"  wait_d_D_timer\(IN := FALSE, PT := T#20ms\);\n"),
    "a watchdog is not started anew on a self-transition": _cut(r"  work_late_timer\(IN := FALSE, PT := T#30ms\);\n"),
    "a reset of another chart does not win": _cut(r"NOT second.reset_s AND \(first.s OR s_stored\)", "first.s OR s_stored"),
    "DS acts again after a reset without being entered": _cut(r" AND NOT first_work_ds_DS_held"),
    "F_TRIG where no edge may appear at power-up": _cut(
        r"wait_to_work_falling : BOOL;(.*?)wait_to_work_falling := wait_to_work_before AND NOT in_a;"
        r"(.*?) OR wait_to_work_falling THEN",
        r"wait_to_work_falling : F_TRIG;\1wait_to_work_falling(CLK := in_a);\2 OR wait_to_work_falling.Q THEN",
    ),
    "timers of a later chart are seen a scan late": _cut(r"second\(only_timers := TRUE\);\n"),
    "an edge runs only in its step": _cut(
        r"step_1_to_step_1_rising\(CLK := in_b\);\n(.*?)(  second_steps#step_1:\n)",
        r"\1\2    step_1_to_step_1_rising(CLK := in_b);\n",
    ),
    "a reset of an alarm clears it": _cut(r"late AND NOT \(", "NOT second.reset_late AND late AND NOT ("),
    "alarms are cleared one after the other": lambda text: text.replace("late := next_late;\n", "").replace(
        "next_late := ", "late := "
    ),
}


@pytest.mark.parametrize("name", BREAKAGES)
def test_a_broken_export_is_noticed(name: str) -> None:
    broken = BREAKAGES[name](QUALIFIERS.text)
    assert broken != QUALIFIERS.text
    assert QUALIFIERS.found(broken)


@pytest.mark.parametrize("name", CROSSED_BREAKAGES)
def test_a_broken_export_of_crossed_charts_is_noticed(name: str) -> None:
    broken = CROSSED_BREAKAGES[name](CROSSED.text)
    assert broken != CROSSED.text
    assert CROSSED.found(broken)


@pytest.mark.parametrize("sound", [QUALIFIERS, CROSSED], ids=["qualifiers", "crossed"])
def test_the_export_itself_stands_the_same_runs(sound: Trial) -> None:
    assert sound.found(sound.text) == []
