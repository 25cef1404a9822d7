"""The tables of action qualifiers and timers, on the exported text.

Source of the rows: beside them, in tests/simulate/test_action_tables.py and test_timer_tables.py. Scans are 10 ms
apart and fall on the table's times.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from plc.exported_controller import exported
from simulate import test_action_tables as actions
from simulate import test_timer_tables as timers
from simulate.on_times import PERIOD_US, SECOND_US, ZERO_US, Spans

from seqcheck.plc.controller_charts import controller_charts
from seqcheck.plc.interpreter import Interpreter
from seqcheck.plc.parse_text import parse_text
from seqcheck.reader.read import read_sequence_text


def _on_times(text: str, on: dict[str, Spans], until_s: int) -> Spans:
    charts = controller_charts(read_sequence_text(text, "table.yaml"))
    interpreter = Interpreter(parse_text(exported(charts), "table.st"))
    edges = [(0.0, False)]
    for now_us in range(0, ZERO_US + until_s * SECOND_US, PERIOD_US):
        time_s = (now_us - ZERO_US) / SECOND_US
        inputs = {name: any(start <= time_s < end for start, end in spans) for name, spans in on.items()}
        is_on = bool(interpreter.scan(now_us, inputs)["q"])
        if is_on != edges[-1][1]:
            edges.append((time_s, is_on))
    edges.append((until_s, False))
    return tuple((start_s, end_s) for (start_s, is_on), (end_s, _) in pairwise(edges) if is_on)


def _action(qualifier: str, entered: Spans, left: Spans, reset: Spans) -> Spans:
    on = {"is_entered": entered, "is_left": left, "is_reset": reset}
    return _on_times(actions.FILE.format(qualifier=qualifier), on, 30)


@pytest.mark.parametrize(("qualifier", "left_s", "q_on"), actions.TABLE)
def test_an_action_is_on_as_in_the_table(qualifier: str, left_s: float, q_on: Spans) -> None:
    assert _action(qualifier, ((0, 1),), ((left_s, left_s + 1),), ((20, 21),)) == q_on


def test_a_stored_delay_that_is_reset_in_time_never_acts() -> None:
    assert _action("SD 5 s", ((0, 1),), ((3, 4),), ((4, 5),)) == ()


def test_a_stored_pulse_does_not_return_before_a_reset() -> None:
    assert _action("SL 5 s", ((0, 1), (10, 11)), ((3, 4), (12, 13)), ((20, 21),)) == ((0, 5),)


def test_a_stored_delay_runs_from_the_first_entry() -> None:
    assert _action("SD 5 s", ((0, 1), (4, 4.5)), ((3, 3.5), (6, 7)), ((20, 21),)) == ((5, 20),)


@pytest.mark.parametrize(("timer", "input_on", "q_on"), timers.TABLE)
def test_a_timer_is_on_as_in_the_table(timer: str, input_on: Spans, q_on: Spans) -> None:
    text = timers.FILE.format(condition=f"{timer}(input, T#5s)")
    assert _on_times(text, {"input": input_on}, 30) == q_on


@pytest.mark.parametrize(("edge", "q_on"), [("RISING", ((1, 1.01),)), ("FALLING", ((3, 3.01),))])
def test_an_edge_is_on_for_one_scan(edge: str, q_on: Spans) -> None:
    assert _on_times(timers.FILE.format(condition=f"{edge}(input)"), {"input": ((1, 3),)}, 6) == q_on
