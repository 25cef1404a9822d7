"""Static findings: the smallest sequence that earns each, and ones that earn none."""

import pytest
from reader.smallest_file import SCAN
from reader.splicer_file import SPLICER

from seqcheck.reader.findings import CODES, static_findings
from seqcheck.reader.read import read_sequence_text

DEVICES = """\
devices:
  k: {type: cylinder, out: 1..2 s, back: 1..2 s, output: o, switches: {out: s, home: h}}
  b: {type: pushbutton, pressed: p}
  g: {type: guard, closed: c}
flags: [f]
alarms: {w: {text: late, clear: p AND s AND h AND c AND f}}
"""
"""Every input and the flag are read by the alarm; line 10 is the first after `charts:`."""


def findings_of(charts: str, head: str = DEVICES) -> list[str]:
    """The findings as `line:column code: text`."""
    sequence = read_sequence_text(f"{SCAN}{head}charts:\n{charts}", "f")
    return [
        f"{finding.place.line}:{finding.place.column} {finding.code}: {finding.text}"
        for finding in static_findings(sequence)
    ]


def chart(first: str, second: str = "{next: {a: p}}", more: str = "") -> str:
    return f"  m:\n    a: {{initial: true, do: o, next: {first}}}\n    d: {second}\n{more}"


LAMP = "  n:\n    x: {initial: true, next: {y: p}}\n    y: {next: {x: p}}\n"


@pytest.mark.parametrize(
    ("charts", "expected"),
    [
        (chart("{d: p}"), []),
        (
            chart("{d: p}", more="    e: {next: {a: p}}\n"),
            ["13:5 unreachable: step m.e is reached from no step that can become active"],
        ),
        (
            chart("{d: p, e: FALSE}", more="    e: {next: {a: p}}\n"),
            [
                "11:47 constant: the condition FALSE never holds",
                "13:5 unreachable: step m.e is reached from no step that can become active",
            ],
        ),
        (
            chart("{d: p}", "{next: {a: s}}"),
            ["12:5 no-watchdog: step m.d waits for the machine without 'within'"],
        ),
        (
            chart("{d: p}", "{next: {a: s AND c}}"),
            ["12:5 no-watchdog: step m.d waits for the machine without 'within'"],
        ),
        (chart("{d: p}", "{within: 1 s, alarm: w, next: {a: s}}"), []),
        (chart("{d: p}", "{prompt: Look at it, next: {a: s}}"), []),
        (chart("{d: s}"), []),
        (chart("{d: p}", "{next: {a: s AND p}}"), []),
        (chart("{d: p}", "{next: {a: s AND NOT c}}"), []),
        (chart("{d: p}", "{next: {a: s OR d.T >= T#1s}}"), []),
        (chart("{d: p}", "{next: [{to: a, if: s}, {to: a, if: d.T >= T#1s}]}"), []),
        (
            chart("{d: p, e: s}", more="    e: {next: {a: p}}\n"),
            [
                "11:44 overlap: in step m.a, the ways to d (p) and to e (s) can be open together; d is taken",
            ],
        ),
        (chart("{d: p AND s, e: p}", more="    e: {next: {a: p}}\n"), []),
        (chart("{d: p AND s, e: p AND NOT s}", more="    e: {next: {a: p}}\n"), []),
        (chart("[{to: d, if: p}, {to: d, if: s}]"), []),
        (chart("{d: p OR NOT p}"), ["11:41 constant: the condition p OR NOT p always holds"]),
        (chart("{d: 'TRUE'}"), []),
        (
            chart("{d: p AND n.y.X}") + LAMP,
            [
                (
                    "11:47 order: chart m reads n.y.X of a chart further down in the file, "
                    "so it sees the step before this scan's move"
                )
            ],
        ),
        (
            chart("{d: n.y.T >= T#1s}") + LAMP,
            [
                (
                    "11:41 order: chart m reads n.y.T of a chart further down in the file, "
                    "so it sees the step before this scan's move"
                )
            ],
        ),
        (LAMP + chart("{d: p AND n.y.X}"), []),
        (
            chart("{d: p}", "{do: {o: S}, next: {a: p}}"),
            ["12:14 never-reset: o is stored with S and reset by no action R"],
        ),
        (
            chart("{d: p}", "{do: [{o: SD 1 s}, {o: SL 1 s}, {o: DS 1 s}], next: {a: p}}"),
            [
                "12:15 never-reset: o is stored with SD and reset by no action R",
                "12:28 never-reset: o is stored with SL and reset by no action R",
                "12:41 never-reset: o is stored with DS and reset by no action R",
            ],
        ),
        (chart("{d: p}", "{do: [{o: S}, {o: R}], next: {a: p}}"), []),
        (chart("{d: p}", "{do: [{w: S}], next: {a: p}}"), []),
        (
            chart("{d: p}") + "  n:\n    x: {initial: true, do: o}\n",
            ["14:28 two-charts: output o is written by chart n and by chart m"],
        ),
        (chart("{d: p}", "{do: [f], next: {a: p}}") + "  n:\n    x: {initial: true, do: f}\n", []),
    ],
)
def test_a_chart_earns_exactly_its_findings(charts: str, expected: list[str]) -> None:
    assert findings_of(charts) == expected


ALONE = """\
devices:
  k: {type: cylinder, out: 1..2 s, back: 1..2 s, output: o, switches: {out: s}}
flags: [f]
"""


def test_what_nobody_reads_or_writes() -> None:
    assert findings_of("  m: {a: {initial: true, do: f}}\n", ALONE) == [
        "4:58 unwritten-output: output o is written by no action",
        "4:77 unused-input: input s is read by no condition",
        "5:9 unread-flag: flag f is written and never read",
    ]


def test_a_circuit_reads_its_inputs_and_an_output_has_one_finding() -> None:
    head = """\
devices:
  k: {type: cylinder, out: 1..2 s, back: 1..2 s, output: o}
  j: {type: cylinder, out: 1..2 s, back: 1..2 s, output: o}
  g: {type: guard, closed: c}
circuits: {e: {channels: c, drop: 1..2 ms, signal: e_on}}
"""
    assert findings_of("  m: {a: {initial: true}}\n", head) == [
        "4:58 unwritten-output: output o is written by no action",
        "7:12 unused-input: input e_on is read by no condition",
    ]


def test_the_splicer_has_two_overlaps_and_nothing_else() -> None:
    """Its lamp resets what the splicing chart stores, and no output is written twice."""
    found = [(finding.code, finding.text) for finding in static_findings(read_sequence_text(SPLICER, "s"))]
    assert found == [
        (
            "overlap",
            (
                "in step splice.cutting, the ways to ready (knife_home AND splice.cutting.T >= T#500ms AND "
                "unwind_stopped) and to faulted (splice.cutting.late) can be open together; ready is taken"
            ),
        ),
        (
            "overlap",
            (
                "in step splice.cutting, the ways to ready (knife_home AND splice.cutting.T >= T#500ms AND "
                "unwind_stopped) and to faulted (FALLING(estop_ok)) can be open together; ready is taken"
            ),
        ),
    ]


def test_every_kind_of_finding_is_described() -> None:
    assert set(CODES) == {
        "unreachable",
        "no-watchdog",
        "overlap",
        "constant",
        "order",
        "never-reset",
        "two-charts",
        "unused-input",
        "unwritten-output",
        "unread-flag",
    }
