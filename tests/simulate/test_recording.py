"""Recordings: the event table, its CSV text, and value change dumps read back by a small reader of their own."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from simulate.trial_files import concrete, trial

from seqcheck.reader.read import read_sequence
from seqcheck.simulate.chooser import Scripted, Seeded, earliest
from seqcheck.simulate.curves import curves_at
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.recording import COLUMNS, Row, csv_text, event_table
from seqcheck.simulate.sequence_run import simulate_sequence
from seqcheck.simulate.simulate import simulate
from seqcheck.simulate.value_change_dump import identifier_code, value_change_dump

NETWORK = concrete(trial("splicer"))
PRESS = Intervention(time_us=15_000, does=Does.ACT, subject="request", action="presses")
SPLICE = simulate(NETWORK, Scripted(earliest(), (PRESS,)), until_us=25_000)
LONG = simulate(
    NETWORK, Seeded(seed=5, act_gap_us=(0, 100_000), failure_probability=0.05), until_us=3_000_000
)


@dataclass
class Dump:
    """A value change dump as read back: (scope, name) of each code, and each code's (time, value) changes."""

    timescale: str = ""
    names: dict[str, tuple[str, str]] = field(default_factory=dict)
    widths: dict[str, int] = field(default_factory=dict)
    changes: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    end_us: int = 0

    def history(self, scope: str, name: str) -> list[tuple[int, int]]:
        code = next(code for code, full in self.names.items() if full == (scope, name))
        return self.changes[code]


def read_dump(text: str) -> Dump:
    """By the token rules of IEEE 1364-2001 clause 18.

    Sections from $keyword to $end, then times and values.
    """
    dump, tokens, scopes = Dump(), iter(text.split()), []
    for token in tokens:
        if token in ("$dumpvars", "$end"):
            continue
        if token.startswith("$"):
            body = list(iter(lambda: next(tokens), "$end"))
            if token == "$timescale":
                dump.timescale = " ".join(body)
            elif token == "$scope":
                scopes.append(body[1])
            elif token == "$upscope":
                scopes.pop()
            elif token == "$var":
                assert body[0] in ("reg", "wire")
                dump.names[body[2]] = (scopes[-1], body[3])
                dump.widths[body[2]] = int(body[1])
        elif token.startswith("#"):
            assert int(token[1:]) >= dump.end_us
            dump.end_us = int(token[1:])
        elif token.startswith("b"):
            code = next(tokens)
            assert len(token) - 1 <= dump.widths[code]
            dump.changes.setdefault(code, []).append((dump.end_us, int(token[1:], 2)))
        else:
            assert dump.widths[token[1:]] == 1
            dump.changes.setdefault(token[1:], []).append((dump.end_us, int(token[0])))
    assert not scopes
    return dump


def test_the_table_tells_what_changed() -> None:
    assert event_table(NETWORK, SPLICE.schedule) == (
        Row(
            time_us=0,
            what="start",
            steps=("splice.ready",),
            outputs=(),
            inputs=("+clamp_open", "+knife_home", "+hood_closed", "+estop_ok"),
        ),
        Row(time_us=15_000, what="request presses", steps=(), outputs=(), inputs=("+splice_request",)),
        Row(
            time_us=16_000,
            what="controller splice enters clamping",
            steps=("splice.clamping",),
            outputs=(),
            inputs=(),
        ),
        Row(time_us=16_000, what="outputs written", steps=(), outputs=("+clamp_close",), inputs=()),
        Row(time_us=21_000, what="clamp going_out", steps=(), outputs=(), inputs=("-clamp_open",)),
    )


def test_csv_reads_back_as_the_table() -> None:
    """Commas and quotes in a sentence survive, and every line is there."""
    rows = event_table(NETWORK, LONG.schedule)
    read = list(csv.reader(io.StringIO(csv_text(rows))))
    assert tuple(read[0]) == COLUMNS
    assert [(int(line[0]), line[1], tuple(line[2].split())) for line in read[1:]] == [
        (row.time_us, row.what, row.steps) for row in rows
    ]


def test_a_dump_has_every_value_at_the_start() -> None:
    dump = read_dump(value_change_dump(NETWORK, SPLICE.schedule, SPLICE.end_us))
    assert dump.timescale == "1 us"
    assert all(changes[0][0] == 0 for changes in dump.changes.values())
    assert len(dump.changes) == len(dump.names) == 1 + 2 + len(NETWORK.signal_names) + len(NETWORK.machines)
    assert dump.end_us == 25_000


def test_a_dump_tells_steps_outputs_inputs_and_positions() -> None:
    dump = read_dump(value_change_dump(NETWORK, SPLICE.schedule, SPLICE.end_us))
    assert dump.history("charts", "splice") == [(0, 0), (16_000, 1)]
    assert dump.history("outputs", "clamp_close") == [(0, 0), (16_000, 1)]
    assert dump.history("inputs", "clamp_open") == [(0, 1), (21_000, 0)]
    clamp = NETWORK.machines[0]
    positions = [clamp.places[value].label for _, value in dump.history("devices", "clamp")]
    assert positions == ["home", "leaving_home", "going_out"]


def test_a_long_dump_ends_in_the_last_state() -> None:
    """Replaying all changes of a run with acts and a failure gives the state in which it ended."""
    dump = read_dump(value_change_dump(NETWORK, LONG.schedule, LONG.end_us))
    last = LONG.schedule.happenings[-1].edge.target
    for machine in NETWORK.machines:
        assert dump.history("devices", machine.name)[-1][1] == last.plant[machine.index]
    for bit, name in enumerate(NETWORK.signal_names):
        assert dump.history("inputs", name)[-1][1] == last.seen >> bit & 1


def test_a_dump_is_the_same_each_time_and_has_a_date_only_if_given() -> None:
    dump = value_change_dump(NETWORK, LONG.schedule, LONG.end_us)
    assert dump == value_change_dump(NETWORK, LONG.schedule, LONG.end_us)
    assert "$date" not in dump
    assert value_change_dump(NETWORK, LONG.schedule, 1, "day 1").startswith("$date day 1 $end\n")


def test_codes_are_printable_and_differ() -> None:
    codes = [identifier_code(number) for number in range(20_000)]
    assert len(set(codes)) == len(codes)
    assert all("!" <= letter <= "~" for code in codes for letter in code)


def test_curves_are_real_variables_that_a_reader_finds_again() -> None:
    """IEEE 1364 value change dump: `$var real 64 code name`, changes `r1.5 code` (clause from memory), read back here."""
    flagship = read_sequence(Path(__file__).resolve().parents[2] / "sequences" / "wipes_line_butt_splice.yaml")
    reset = Intervention(time_us=100_000, does=Does.ACT, subject="fault_reset", action="presses")
    simulated = simulate_sequence(flagship, Scripted(earliest(), (reset,)), until_us=2_000_000)
    record = simulated.run.motion
    assert record is not None
    dump = value_change_dump(simulated.network, simulated.run.schedule, simulated.run.end_us, record=record)
    lines = dump.splitlines()
    code = next(line.split()[3] for line in lines if line.startswith("$var real 64") and line.split()[4] == "content")
    now_us, found = 0, {}
    for line in lines:
        if line.startswith("#"):
            assert int(line[1:]) >= now_us
            now_us = int(line[1:])
        elif line.startswith("r") and line.split()[1] == code:
            found[now_us] = float(line.split()[0][1:])
    curve = next(part for part in curves_at(record, [time_us / 1e6 for time_us in found]) if part.name == "content")
    assert list(found.values()) == pytest.approx(list(curve.values), rel=1e-8)
    assert len(found) > 5 and 0 in found
    rows = list(csv.DictReader(io.StringIO(csv_text(event_table(simulated.network, simulated.run.schedule), record))))
    assert float(rows[0]["content [m]"]) == pytest.approx(found[0], abs=1e-6)
    assert {row["what"] for row in rows} > {"sample", "start"}
