"""The smallest mistakes in requirements, each with the sentence that it earns."""

import pytest
from reader.smallest_file import CYLINDER, MINIMAL, with_requirement

from seqcheck.errors import SequenceFileError
from seqcheck.reader.read import read_sequence_text

MISTAKES = [
    (
        MINIMAL + "requirements: {R1: x}\n",
        ("f:4:15: expected a list of requirements ('- id: R1 ...'), found a map"),
    ),
    (with_requirement("R1"), ("f:6:5: expected a requirement (a map with id and kind), found the text 'R1'")),
    (with_requirement("{never: p}"), ("f:6:5: expected 'id' in the requirement, found nothing")),
    (
        with_requirement("{id: R 1, never: p}"),
        ("f:6:10: expected an id of letters, digits, '_', '-' and '.', such as R1, found 'R 1'"),
    ),
    (
        with_requirement("{id: R1, never: p}\n  - {id: R1, never: p}"),
        ("f:7:5: expected each id once, found 'R1', already used in f:6:5"),
    ),
    (
        with_requirement("{id: R1, never: p, interlock: o}", CYLINDER),
        ("f:6:5: expected one kind of requirement, found 'interlock' and 'never'"),
    ),
    (
        with_requirement("{id: R1, never: p, claus: x}"),
        ("f:6:24: expected a field of requirement R1 (never), found 'claus'; did you mean clause?"),
    ),
    (
        with_requirement("{id: R1, interlock: o}", CYLINDER),
        ("f:6:5: expected 'only while' in requirement R1 (interlock) (its permissives), found nothing"),
    ),
    (
        with_requirement("{id: R1, interlock: o, only while: s, drop within: soon}", CYLINDER),
        ("f:6:56: expected a time such as '250 ms', found 'soon'"),
    ),
    (
        with_requirement("{id: R1, never: RISING(p)}"),
        ("f:6:21: expected a condition without memory (no timers, no edges), found 'RISING(...)'"),
    ),
    (
        with_requirement("{id: R1, never: a.T >= T#1s}"),
        ("f:6:21: expected a condition without memory (no step times), found 'a.T'"),
    ),
    (
        with_requirement("{id: R1, never: b.is_presed}"),
        (
            "f:6:21: expected an input, output, flag, alarm, step flag or fact of the machine, found "
            "'b.is_presed'; did you mean b.is_pressed?"
        ),
    ),
    (
        with_requirement("{id: R1, never: p, severity: safty}"),
        ("f:6:34: expected a severity (safety, production, quality), found 'safty'; did you mean safety?"),
    ),
    (
        with_requirement("{id: R1, never: p, start: here}"),
        ("f:6:31: expected a word for 'start' (anywhere), found 'here'; did you mean anywhere?"),
    ),
    (
        with_requirement("{id: R1, never: p, under: any one falt}"),
        (
            "f:6:31: expected 'no fault', 'any one fault', 'any two faults', 'controller fault' or "
            "'fault device.failure', found 'any one falt'; did you mean any one fault?"
        ),
    ),
    (
        with_requirement("{id: R1, never: p, under: fault b.jams}"),
        ("f:6:37: expected a failure of a device, found 'b.jams'"),
    ),
    (
        with_requirement(
            "{id: R1, never: p, under: 'faults b.pressed_signal_stuck_on, b.pressed_signal_stuck_on'}"
        ),
        ("f:6:66: expected each failure once, found 'b.pressed_signal_stuck_on'"),
    ),
    (
        with_requirement("{id: R1, never: p, given: nobody there}"),
        (
            "f:6:31: expected 'anything', 'hood stays closed' or 'no operator act but request, "
            "reset', found 'nobody there'"
        ),
    ),
    (
        with_requirement("{id: R1, never: p, given: bb stays released}"),
        ("f:6:31: expected a device, found 'bb'; did you mean b?"),
    ),
    (
        with_requirement("{id: R1, never: p, given: b stays presed}"),
        ("f:6:31: expected a word for what b is, found 'presed'; did you mean pressed?"),
    ),
    (
        with_requirement("{id: R1, never: o, given: no operator act but k}", CYLINDER),
        ("f:6:51: expected a device on which an operator acts, found 'k', which has no acts"),
    ),
    (
        with_requirement("{id: R1, never: p, given: no operator act but q}"),
        ("f:6:51: expected a device, found 'q'"),
    ),
    (
        with_requirement("{id: R1, from: a, reaches: a, within: 1 s}"),
        (
            "f:6:5: expected 'given' in requirement R1 (completion) ('given: anything' if nothing is "
            "narrowed), found nothing"
        ),
    ),
    (
        with_requirement("{id: R1, from: aa, reaches: a, within: 1 s, given: anything}"),
        ("f:6:20: expected a name defined in this file, found 'aa'; did you mean a?"),
    ),
]


@pytest.mark.parametrize(("text", "problems"), MISTAKES)
def test_a_mistake_earns_exactly_its_sentence(text: str, problems: str) -> None:
    with pytest.raises(SequenceFileError) as caught:
        read_sequence_text(text, "f")
    assert str(caught.value) == problems
