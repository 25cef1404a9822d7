"""The smallest mistakes in sections, devices and circuits, each with the sentence that it earns."""

import pytest
from reader.smallest_file import BUTTON, MINIMAL, SCAN, with_circuit, with_device, with_states

from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text

MISTAKES = [
    (
        MINIMAL.replace("sequence: Trial", "revision: 1"),
        ("f:1:1: expected 'sequence' with the name of the sequence, found nothing"),
    ),
    (
        "sequence: Trial\ncharts: {c: {a: {initial: true}}}\n",
        ("f:1:1: expected 'scan', e.g. {period: 4..10 ms, write: 0..10 ms}, found nothing"),
    ),
    (SCAN, ("f:1:1: expected 'charts' with at least one chart, found nothing")),
    (
        MINIMAL + "device: {}\n",
        ("f:4:1: expected a section of a sequence file, found 'device'; did you mean devices?"),
    ),
    (MINIMAL.replace("Trial", ""), ("f:1:1: expected a text for 'sequence', found nothing")),
    (MINIMAL.replace("Trial", "[a]"), ("f:1:11: expected a text for 'sequence', found a list")),
    (MINIMAL + "note: " + "x" * 2001 + "\n", ("f:4:7: expected at most 2000 characters, found 2001")),
    (
        MINIMAL.replace(", write: 0 ms", ""),
        ("f:2:7: expected 'write' in scan (from a read to its outputs), found nothing"),
    ),
    (
        MINIMAL.replace("write:", "wrote:"),
        (
            "f:2:7: expected 'write' in scan (from a read to its outputs), found nothing\n"
            "f:2:23: expected a field of scan, found 'wrote'; did you mean write?"
        ),
    ),
    (
        MINIMAL.replace("10 ms", "0..10 ms"),
        ("f:2:16: expected a shortest period longer than zero, found 0 ms"),
    ),
    (
        MINIMAL.replace("write: 0 ms", "write: 11..12 ms"),
        ("f:2:30: expected an earliest write no later than the shortest period (10 ms), found 11 ms"),
    ),
    (MINIMAL.replace("10 ms", "10"), ("f:2:16: expected a time such as '250 ms', found '10'")),
    (
        MINIMAL.replace("10 ms", "0 ms"),
        ("f:2:16: expected a latest time longer than zero for 'period', found 0 ms"),
    ),
    (MINIMAL + "web: wide\n", ("f:4:6: expected a map for 'web', found the text 'wide'")),
    (MINIMAL + "web: {width: 420 kg}\n", ("f:4:14: expected a length such as '450 mm', found '420 kg'")),
    (
        MINIMAL + "web: {tension: {run: 10 N, least: 20 N}}\n",
        ("f:4:16: expected tensions with least <= run <= most, found another order"),
    ),
    (MINIMAL + "web: {tension: 10 N}\n", ("f:4:16: expected a map for 'tension', found the text '10 N'")),
    (
        MINIMAL + "web: {tension: {runs: 10 N}}\n",
        ("f:4:17: expected a field of tension, found 'runs'; did you mean run?"),
    ),
    (
        MINIMAL + "line: {stop: 2..3 s}\n",
        ("f:4:7: expected 'speed' in line (speed of the line that must not stop), found nothing"),
    ),
    (MINIMAL + "line: {speed: 0 m/s}\n", ("f:4:15: expected a line speed greater than zero, found 0")),
    (
        MINIMAL + "line: {speed: 1 m/s, stop: 0 ms}\n",
        ("f:4:28: expected a latest time longer than zero for 'stop', found 0 ms"),
    ),
    (
        MINIMAL + "roll: {outside: 1 m, core: 2 m}\n",
        ("f:4:28: expected a core diameter above zero and below the outside diameter, found 2000 mm"),
    ),
    (
        MINIMAL + "accumulator: {strands: 2.5, stroke: 1 m, running: 20 %, filled: 90 %, reserve: 5 %}\n",
        ("f:4:24: expected a whole number from 1 to 200, found '2.5'"),
    ),
    (
        MINIMAL + "accumulator: {strands: 2, stroke: 1 m, running: 20 %, filled: 190 %, reserve: 5 %}\n",
        ("f:4:63: expected a level of at most 100 %, found 190%"),
    ),
    (
        MINIMAL + "accumulator: {strands: 2, stroke: 1 m, running: 20 %, filled: 90 %, reserve: 50 %}\n",
        ("f:4:14: expected levels with reserve <= running <= filled, found another order"),
    ),
    (
        MINIMAL + "accumulator: {strands: 2, stroke: 0 m, running: 20 %, filled: 90 %, reserve: 5 %}\n",
        ("f:4:35: expected a stroke longer than zero, found 0 mm"),
    ),
    (MINIMAL + "devices: [b]\n", ("f:4:10: expected a map of devices, found a list")),
    (
        with_device("pushbutton"),
        ("f:5:6: expected a map for the device b, e.g. {type: cylinder, ...}, found the text 'pushbutton'"),
    ),
    (
        MINIMAL + "devices: {2b: {type: pushbutton, pressed: p}}\n",
        (
            "f:4:11: expected the name of a device (letters, digits and underscores, a letter first),"
            " found '2b'"
        ),
    ),
    (
        MINIMAL + "devices: {not: {type: pushbutton, pressed: p}}\n",
        ("f:4:11: expected the name of a device that is no word of conditions, found 'not'"),
    ),
    (
        MINIMAL + "devices: {" + "b" * 65 + ": {type: pushbutton, pressed: p}}\n",
        ("f:4:11: expected a name of at most 64 characters, found 65"),
    ),
    (with_device("{pressed: p}"), ("f:5:3: expected 'type' in device b, found nothing")),
    (
        with_device("{type: pushbuton, pressed: p}"),
        ("f:5:13: expected a device type, found 'pushbuton'; did you mean pushbutton?"),
    ),
    (
        with_device("{type: pushbutton, presed: p}"),
        (
            "f:5:3: expected 'pressed' in device b (pushbutton) (input that is on while the button is"
            " pressed), found nothing\n"
            "f:5:25: expected a field of device b (pushbutton), found 'presed'; did you mean pressed?"
        ),
    ),
    (
        with_device("{type: pushbutton}"),
        (
            "f:5:3: expected 'pressed' in device b (pushbutton) (input that is on while the button is"
            " pressed), found nothing"
        ),
    ),
    (
        with_device("{type: cylinder, out: 1 s, back: 1 s, output: o, switches: s}"),
        ("f:5:65: expected a map for 'switches' (the end switches and their band), found the text 's'"),
    ),
    (
        with_device("{type: cylinder, out: 1 s, back: 1 s, output: o, switches: {ot: s}}"),
        ("f:5:66: expected a field of switches of device b (cylinder), found 'ot'; did you mean out?"),
    ),
    (
        with_device("{type: pushbutton, pressed: p q}"),
        (
            "f:5:34: expected the name of an input for 'pressed' (letters, digits and underscores, a "
            "letter first), found 'p q'"
        ),
    ),
    (
        with_device("{type: pushbutton, pressed: {delay: 1 ms}}"),
        ("f:5:34: expected 'name' of an input, found nothing"),
    ),
    (
        with_device("{type: pushbutton, pressed: {name: p, delay: fast}}"),
        ("f:5:51: expected a time such as '250 ms', found 'fast'"),
    ),
    (
        with_device("{type: pushbutton, pressed: {name: p, dely: 1 ms}}"),
        ("f:5:44: expected a field of an input (name, delay), found 'dely'; did you mean delay?"),
    ),
    (
        with_device("{type: cylinder, out: 2..1 s, back: 1 s, output: o}"),
        ("f:5:28: expected a range from the shorter to the longer time, found 2 s before 1 s"),
    ),
    (
        with_device("{type: selector, on: p, initially: of}"),
        ("f:5:41: expected a word for 'initially' (on, off), found 'of'; did you mean off?"),
    ),
    (
        with_device("{type: cylinder, out: 1 s, back: 1 s, output: o, slow: 0 ms}"),
        ("f:5:61: expected a time longer than zero for 'slow', found 0 ms"),
    ),
    (
        with_device("{type: cylinder, out: 1 s, back: 1 s, output: o, energy: air}"),
        ("f:5:63: expected a circuit, found 'air'"),
    ),
    (
        with_device("{type: cylinder, out: 1 s, back: 1 s, output: o, energy: b}"),
        ("f:5:63: expected a circuit, found 'b', a device"),
    ),
    (
        with_device("{type: cylinder, out: 0 s, back: 1 s, output: o}"),
        ("f:5:28: expected a latest time above zero, found 0 ms"),
    ),
    (
        with_device("{type: pushbutton, pressed: p, hazard: }"),
        ("f:5:37: expected what it can do to a person, e.g. cut, found nothing"),
    ),
    (
        with_device("{type: pushbutton, pressed: p, without: jams}"),
        (
            "f:5:46: expected a map such as {failures: [jams], because: ...} for 'without', found the"
            " text 'jams'"
        ),
    ),
    (
        with_device("{type: pushbutton, pressed: p, without: {because: x}}"),
        ("f:5:46: expected 'failures' in 'without', found nothing"),
    ),
    (
        with_device("{type: pushbutton, pressed: p, without: {failures: pressed_signal_stuck_on}}"),
        ("f:5:46: expected 'because' in 'without' (the reason for leaving failures out), found nothing"),
    ),
    (
        with_device(
            "{type: pushbutton, pressed: p, without: {failures: pressed_signal_stuck_on, because: x, why: y}}"
        ),
        ("f:5:94: expected a field of 'without' (failures, because), found 'why'"),
    ),
    (
        with_device(
            "{type: pushbutton, pressed: p, without: {failures: pressed_signal_stuk_on, because: x}}"
        ),
        (
            "f:5:57: expected a failure of b, found 'pressed_signal_stuk_on'; did you mean "
            "pressed_signal_stuck_on?"
        ),
    ),
    (
        with_device("{type: pushbutton, pressed: p, intermittent: sticks}"),
        ("f:5:51: expected a failure of b, found 'sticks'"),
    ),
    (
        MINIMAL + "devices:\n  b: {type: pushbutton, pressed: p}\n  d: {type: pushbutton, pressed: p}\n",
        ("f:6:34: expected each name once, found 'p', already an input in f:5:34"),
    ),
    (
        MINIMAL
        + "devices:\n  b: {type: pushbutton, pressed: p}\n"
        + "  d: {type: cylinder, out: 1 s, back: 1 s, output: p}\n",
        ("f:6:52: expected each name once, found 'p', already an input in f:5:34"),
    ),
    (
        MINIMAL
        + "line: {speed: 1 m/s, stop: 1 s, start: 1 s}\ndevices:\n  l: {type: line_drive, run: r}\n"
        + "  f: {type: accumulator, fill: i, unwind: l, line: lin, fill_time: 1 s}\n",
        ("f:7:52: expected a name defined in this file, found 'lin'"),
    ),
    (
        MINIMAL
        + BUTTON.replace("}}", "}, f: {type: accumulator, fill: i, unwind: b, line: b, fill_time: 1 s}}"),
        (
            "f:4:86: expected a device that has is_at_speed, found 'b'\n"
            "f:4:95: expected a device that has is_stopped, found 'b'\n"
            "f:4:95: expected a device that has is_at_speed, found 'b'"
        ),
    ),
    (
        with_device("{type: sensor, seen: p, when: k.is_out}"),
        (
            "f:5:3: expected 'while' in device b (sensor) (when the target is in front of the "
            "sensor), found nothing\n"
            "f:5:30: expected a field of device b (sensor), found 'when'; did you mean while?"
        ),
    ),
    (with_states("[x]"), ("f:4:35: expected a map of states, found a list")),
    (with_states("{x: {}, y: {}}"), ("f:4:35: expected exactly one state with 'initial: true', found none")),
    (
        with_states("{x: {initial: true}, y: {initial: true}}"),
        ("f:4:35: expected exactly one state with 'initial: true', found 2 (x, y)"),
    ),
    (
        with_states("{x: {initial: true, nxt: {}}}"),
        ("f:4:55: expected a field of the state x, found 'nxt'; did you mean next?"),
    ),
    (
        with_states("{x: 1}"),
        (
            "f:4:35: expected exactly one state with 'initial: true', found none\n"
            "f:4:39: expected a map for the state x, found the text '1'"
        ),
    ),
    (
        with_states("{x: {initial: maybe}}"),
        ("f:4:49: expected a word for 'initial' (true, false), found 'maybe'"),
    ),
    (
        with_states("{x: {initial: true, facts: idle}}"),
        ("f:4:62: expected a fact that starts with 'is_', found 'idle'"),
    ),
    (
        with_states("{x: {initial: true, next: {xx: {after: 1 s}}}}"),
        ("f:4:62: expected a state of this device, found 'xx'; did you mean x?"),
    ),
    (
        with_states("{x: {initial: true, next: {x: {aftr: 1 s}}}}"),
        ("f:4:66: expected a field of a way out, found 'aftr'; did you mean after?"),
    ),
    (
        with_states("{x: {initial: true, next: {x: {after: 1 s, act: pulls}}}}"),
        ("f:4:65: expected 'when' with at most one of 'after', 'act' and 'failure', found after and act"),
    ),
    (
        with_states("{x: {initial: true, next: {x: {after: soon}}}}"),
        ("f:4:73: expected a time such as '250 ms', found 'soon'"),
    ),
    (
        with_states("{x: {initial: true, next: x}}"),
        ("f:4:61: expected a map of ways out, e.g. {done: {after: 1..2 s}}, found the text 'x'"),
    ),
    (
        with_states("{x: {initial: true, next: {y: q}}, y: {}}"),
        ("f:4:65: expected what is wired (inputs, outputs, facts of devices, circuits), found 'q'"),
    ),
    (MINIMAL + "circuits: [e]\n", ("f:4:11: expected a map of circuits, found a list")),
    (
        with_circuit("p"),
        (
            "f:6:6: expected a map for the circuit e, e.g. {channels: [...], drop: 10..30 ms}, found "
            "the text 'p'"
        ),
    ),
    (
        with_circuit("{drop: 1 ms}"),
        ("f:6:3: expected 'channels' in circuit e (conditions that hold it on), found nothing"),
    ),
    (with_circuit("{channels: [p, p, p], drop: 1 ms}"), ("f:6:17: expected at most 2 channels, found 3")),
    (
        with_circuit("{channels: p}"),
        ("f:6:3: expected 'drop' in circuit e (from a lost channel to energy off), found nothing"),
    ),
    (
        with_circuit("{channels: p, drop: 0 ms}"),
        ("f:6:26: expected a latest time longer than zero for 'drop', found 0 ms"),
    ),
    (
        with_circuit("{channels: p, drop: 1 ms, rest: p}"),
        ("f:6:32: expected a field of circuit e, found 'rest'; did you mean reset?"),
    ),
    (
        with_circuit("{channels: p, drop: 1 ms, discrepancy: 5 ms}"),
        ("f:6:45: expected two channels for 'discrepancy' to compare, found one"),
    ),
    (
        with_circuit("{channels: p, drop: 1 ms, reset: a.X}"),
        (
            "f:6:39: expected what is wired (inputs, outputs, facts of devices, circuits), found the "
            "step flag 'a.X'"
        ),
    ),
    (
        with_circuit("{channels: 'TON(p, T#1s)', drop: 1 ms}"),
        ("f:6:18: expected a condition without memory (no timers, no edges), found 'TON(...)'"),
    ),
    (
        with_circuit("{channels: q, drop: 1 ms}"),
        ("f:6:17: expected what is wired (inputs, outputs, facts of devices, circuits), found 'q'"),
    ),
    (
        with_circuit("{channels: p, drop: 1 ms, signal: p}"),
        ("f:6:3: expected each name once, found 'p', already an input in f:4:42"),
    ),
]


@pytest.mark.parametrize(("text", "problems"), MISTAKES)
def test_a_mistake_earns_exactly_its_sentence(text: str, problems: str) -> None:
    with pytest.raises(SequenceFileError) as caught:
        read_sequence_text(text, "f")
    assert str(caught.value) == problems
