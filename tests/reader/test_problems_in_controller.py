"""The smallest mistakes in flags, alarms and charts, each with the sentence that it earns."""

import pytest
from reader.smallest_file import ALARM, CYLINDER, MINIMAL, SCAN, with_step

from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text

MISTAKES = [
    (MINIMAL + "flags:\n", ("f:4:1: expected a list of names of flags, found nothing")),
    (MINIMAL + "flags: [[f]]\n", ("f:4:9: expected the name of a flag, found a list")),
    (MINIMAL + "flags: [c]\n", ("f:3:10: expected each name once, found 'c', already a flag in f:4:9")),
    (MINIMAL + "flags: [a]\n", ("f:3:14: expected each name once, found 'a', already a flag in f:4:9")),
    (MINIMAL + "alarms: w\n", ("f:4:9: expected a map of alarms, found the text 'w'")),
    (
        MINIMAL + "alarms: {w: late}\n",
        ("f:4:13: expected a map for the alarm w, e.g. {text: ..., clear: reset}, found the text 'late'"),
    ),
    (MINIMAL + "alarms: {w: {clear: TRUE}}\n", ("f:4:10: expected 'text' in alarm w, found nothing")),
    (MINIMAL + "alarms: {w: {text: late}}\n", ("f:4:10: expected 'clear' in alarm w, found nothing")),
    (
        MINIMAL + "alarms: {w: {text: late, clear: TRUE, txt: x}}\n",
        ("f:4:39: expected a field of alarm w (text, clear, acknowledge), found 'txt'; did you mean text?"),
    ),
    (
        MINIMAL + CYLINDER + "alarms: {w: {text: late, clear: k.is_out}}\n",
        (
            "f:5:33: expected what the controller sees (inputs, outputs, flags, alarms, steps), found"
            " 'k.is_out', a fact of the machine"
        ),
    ),
    (SCAN + "charts: [c]\n", ("f:3:9: expected a map of charts, found a list")),
    (SCAN + "charts: {c: a}\n", ("f:3:13: expected a map of steps for the chart c, found the text 'a'")),
    (
        SCAN + "charts: {c: {a: {}}}\n",
        ("f:3:10: expected exactly one step with 'initial: true' in chart c, found none"),
    ),
    (
        SCAN + "charts: {c: {a: {initial: true}, d: {initial: true}}}\n",
        ("f:3:10: expected exactly one step with 'initial: true' in chart c, found 2 (a, d)"),
    ),
    (
        SCAN + "charts: {c: {a: {initial: maybe}}}\n",
        ("f:3:27: expected a word for 'initial' (true, false), found 'maybe'"),
    ),
    (
        with_step("x"),
        ("f:7:8: expected a map for the step d, e.g. {do: [...], next: {...}}, found the text 'x'"),
    ),
    (with_step("{nxt: {a: p}}"), ("f:7:9: expected a field of step d, found 'nxt'; did you mean next?")),
    (
        with_step("{}", "    2e: {}\n"),
        ("f:8:5: expected the name of a step (letters, digits and underscores, a letter first), found '2e'"),
    ),
    (with_step("{next: {aa: p}}"), ("f:7:16: expected a step of this chart, found 'aa'; did you mean a?")),
    (
        with_step("{next: a}"),
        ("f:7:15: expected a map of target: condition, or a list of {to:, if:}, found the text 'a'"),
    ),
    (with_step("{next: [a]}"), ("f:7:16: expected a way out {to: step, if: condition}, found the text 'a'")),
    (
        with_step("{next: [{to: a, if: p, of: x}]}"),
        ("f:7:31: expected a field of a way out (to, if), found 'of'"),
    ),
    (with_step("{next: [{to: a}]}"), ("f:7:16: expected 'to' and 'if' in a way out, found only one")),
    (with_step("{next: [{}]}"), ("f:7:16: expected 'to' and 'if' in a way out, found nothing")),
    (
        with_step("{next: {a: }}"),
        ("f:7:16: expected a condition such as 'hood_closed AND NOT estop_ok', found nothing"),
    ),
    (
        with_step("{next: {a: p AND}}"),
        ("f:7:24: expected a name or a TIME literal or '(', found the end of the condition"),
    ),
    (
        with_step("{next: {a: pp}}"),
        (
            "f:7:19: expected what the controller sees (inputs, outputs, flags, alarms, steps), found"
            " 'pp'; did you mean p?"
        ),
    ),
    (
        with_step("{next: {a: b}}"),
        (
            "f:7:19: expected what the controller sees (inputs, outputs, flags, alarms, steps), found"
            " 'b', a device"
        ),
    ),
    (
        with_step("{next: {a: b.is_pressed}}"),
        (
            "f:7:19: expected what the controller sees (inputs, outputs, flags, alarms, steps), found"
            " 'b.is_pressed', a fact of the machine"
        ),
    ),
    (with_step("{next: {a: d}}"), ("f:7:19: expected a step flag ('d.X'), found the step 'd'")),
    (
        with_step("{next: {a: d.late}}"),
        ("f:7:19: expected 'within' in the step c.d, on which 'late' rests, found 'd.late'"),
    ),
    (with_step("{next: {a: dd.X}}"), ("f:7:19: expected a step of a chart, found 'dd.X'; did you mean d.X?")),
    (
        with_step("{next: {a: dd.T >= T#1s}}"),
        ("f:7:19: expected a step of a chart, found 'dd.T'; did you mean d.T?"),
    ),
    (
        with_step("{next: {a: a.X}}", "  c2: {a: {initial: true}}\n"),
        ("f:7:19: expected the step with its chart (c.a or c2.a), found 'a.X'"),
    ),
    (
        with_step("{within: 0 ms, alarm: w}", ALARM),
        ("f:7:17: expected a time longer than zero for 'within', found 0 ms"),
    ),
    (
        with_step("{within: 1 s}"),
        ("f:7:17: expected 'alarm' beside 'within' (the alarm raised when the time is over), found nothing"),
    ),
    (with_step("{alarm: w}", ALARM), ("f:7:16: expected 'within' beside 'alarm', found nothing")),
    (
        with_step("{within: 1 s, alarm: ww}", ALARM.replace("w:", "www:")),
        ("f:7:29: expected an alarm, found 'ww'; did you mean www?"),
    ),
    (with_step("{within: 1 s, alarm: p}"), ("f:7:29: expected an alarm, found 'p', an input")),
    (with_step("{prompt: [x]}"), ("f:7:17: expected what the operator is asked to do, found a list")),
    (
        with_step("{do: oo}", "flags: ooo\n"),
        ("f:7:13: expected an output of a device, a flag or an alarm, found 'oo'; did you mean ooo?"),
    ),
    (
        with_step("{do: p}"),
        ("f:7:13: expected an output of a device, a flag or an alarm, found 'p', an input"),
    ),
    (
        with_step("{do: [ ]}").replace("[ ]", "['']"),
        ("f:7:14: expected an output, flag or alarm, or {name: qualifier}, found the text ''"),
    ),
    (with_step("{do: }"), ("f:7:9: expected an output, flag or alarm, or {name: qualifier}, found nothing")),
    (
        with_step("{do: {f: X}}", "flags: f\n"),
        ("f:7:17: expected an action qualifier (N, S, R, P, L, D, SD, DS, SL), found 'X'"),
    ),
    (
        with_step("{do: {f: s}}", "flags: f\n"),
        ("f:7:17: expected an action qualifier (N, S, R, P, L, D, SD, DS, SL), found 's'; did you mean S?"),
    ),
    (
        with_step("{do: {f: L}}", "flags: f\n"),
        ("f:7:17: expected a time after the qualifier L, e.g. 'L 300 ms', found nothing"),
    ),
    (with_step("{do: {f: L 3}}", "flags: f\n"), ("f:7:17: expected a time such as '250 ms', found '3'")),
    (
        with_step("{do: {f: D T#0s}}", "flags: f\n"),
        ("f:7:17: expected a time longer than zero for the action, found 'T#0s'"),
    ),
    (
        with_step("{do: {f: S 3 ms}}", "flags: f\n"),
        ("f:7:17: expected no time after the qualifier S, found '3 ms'"),
    ),
    (
        with_step("{do: {f: }}", "flags: f\n"),
        ("f:7:14: expected an action qualifier such as S, R, P or 'L 300 ms', found nothing"),
    ),
    (
        with_step("{}", "    any step but aa: {next: {a: p}}\n"),
        ("f:8:18: expected a step of this chart, found 'aa'; did you mean a?"),
    ),
    (
        with_step("{}", "    any step: {do: x, next: {a: p}}\n"),
        ("f:8:16: expected a field of 'any step' (next), found 'do'"),
    ),
    (with_step("{}", "    any step: {}\n"), ("f:8:5: expected 'next' in 'any step', found nothing")),
    (
        with_step("{}", "    any step: x\n"),
        ("f:8:15: expected a map {next: ...} for 'any step', found the text 'x'"),
    ),
    (
        with_step("{}", "    any place: {next: {a: p}}\n"),
        ("f:8:5: expected 'any step' or 'any step but ready, faulted', found 'any place'"),
    ),
    (with_step("{}", "    any step: {next: {q: p}}\n"), ("f:8:23: expected a step of this chart, found 'q'")),
]


@pytest.mark.parametrize(("text", "problems"), MISTAKES)
def test_a_mistake_earns_exactly_its_sentence(text: str, problems: str) -> None:
    with pytest.raises(SequenceFileError) as caught:
        read_sequence_text(text, "f")
    assert str(caught.value) == problems
