"""All mistakes of a file come in one error, and one mistake is not told twice."""

from pathlib import Path

import pytest
from reader.smallest_file import BUTTON, MINIMAL, SCAN, with_device
from reader.splicer_file import SPLICER

from seqcheck.errors import SequenceFileError
from seqcheck.reader.problem_log import MOST_PROBLEMS
from seqcheck.reader.read import read_sequence, read_sequence_text

TEN_MISTAKES = """\
sequence: Trial
scan: {period: 4..10 years, write: 0..10 ms}
line: {speed: 240 kg}
devices:
  knife: {type: cylinder, out: 1..2 s, back: 1..2 s, output: fire, hazrd: cut, switches: {home: knife_home}}
  hood: {type: gard, closed: hood_closed}
  start: {type: pushbutton, pressed: request}
circuits:
  air: {channels: requst, drop: 10 ms}
charts:
  splice:
    ready: {initial: true, next: {cutting: request AND hood_closed AND (knife_hom OR cuting.X)}}
    cutting: {do: [fire, fier], next: {redy: knife_home}}
requirements:
  - {id: R1, never: fire AND hood.is_open, under: any one falt}
"""


HYPOTHESES = (
    "expected 'no fault', 'any one fault', 'any two faults', 'controller fault' or 'fault device.failure'"
)


def problems_of(text: str) -> list[str]:
    with pytest.raises(SequenceFileError) as caught:
        read_sequence_text(text, "f")
    return str(caught.value).splitlines()


def test_ten_mistakes_are_ten_problems() -> None:
    """Also two in one condition; what a broken device would have declared is not called unknown."""
    controller = "expected what the controller sees (inputs, outputs, flags, alarms, steps)"
    wired = "expected what is wired (inputs, outputs, facts of devices, circuits)"
    assert problems_of(TEN_MISTAKES) == [
        "f:2:16: expected a time in us, ms, s, min, h or d, found the unit 'years' in '4..10 years'",
        "f:3:15: expected a speed such as '240 m/min', found '240 kg'",
        "f:5:68: expected a field of device knife (cylinder), found 'hazrd'; did you mean hazard?",
        "f:6:16: expected a device type, found 'gard'; did you mean guard?",
        f"f:9:19: {wired}, found 'requst'; did you mean request?",
        f"f:12:73: {controller}, found 'knife_hom'; did you mean knife_home?",
        "f:12:86: expected a step of a chart, found 'cuting.X'; did you mean cutting.X?",
        "f:13:26: expected an output of a device, a flag or an alarm, found 'fier'; did you mean fire?",
        "f:13:40: expected a step of this chart, found 'redy'; did you mean ready?",
        f"f:15:51: {HYPOTHESES}, found 'any one falt'; did you mean any one fault?",
    ]


def test_a_broken_device_hides_only_names_that_it_could_declare() -> None:
    text = with_device("{type: pushbutton, pressed: p, colour: red}").replace("a: {initial: true}", STEPS)
    assert problems_of(text) == [
        "f:3:48: expected what the controller sees (inputs, outputs, flags, alarms, steps), found 'q'",
        "f:5:37: expected a field of device b (pushbutton), found 'colour'",
    ]


STEPS = "a: {initial: true, next: {d: p OR q}}, d: {}"


def test_what_is_no_yaml_is_a_problem_too() -> None:
    assert problems_of("sequence: [")[0].startswith("f:1:")


def test_a_file_of_mistakes_has_bounded_problems() -> None:
    text = MINIMAL + "".join(f"mistake_{number}: x\n" for number in range(MOST_PROBLEMS + 50))
    assert len(problems_of(text)) == MOST_PROBLEMS


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (
            SCAN + "charts:\n" + "".join(f"  c{n}: {{a: {{initial: true}}}}\n" for n in range(65)),
            "f:4:3: expected at most 64 charts, found 65",
        ),
        (
            SCAN
            + "charts: {c: {a: {initial: true}}}\ndevices:\n"
            + "".join(f"  b{n}: {{type: pushbutton, pressed: p{n}}}\n" for n in range(501)),
            "f:5:3: expected at most 500 devices, found 501",
        ),
        (
            MINIMAL
            + BUTTON
            + "requirements:\n"
            + "".join(f"  - {{id: R{n}, never: p}}\n" for n in range(2001)),
            "f:6:3: expected at most 2000 requirements, found 2001",
        ),
        (
            MINIMAL + f"flags: [{', '.join(f'f{n}' for n in range(501))}]\n",
            "f:4:8: expected at most 500 flags, found 501",
        ),
    ],
    ids=["charts", "devices", "requirements", "flags"],
)
def test_every_list_has_a_bound(text: str, problem: str) -> None:
    assert problems_of(text) == [problem]


def test_a_kind_says_which_data_it_misses_once_the_rest_is_right() -> None:
    text = MINIMAL + BUTTON + "requirements:\n  - {id: R1, accumulator: never below reserve}\n"
    (problem,) = problems_of(text)
    assert problem.startswith("f:6:5: expected a device of type accumulator and the sections line, unwind")


def test_the_nearest_kind_is_proposed() -> None:
    (problem,) = problems_of(MINIMAL + BUTTON + "requirements:\n  - {id: R1, nevr: p}\n")
    assert problem.startswith("f:6:14: expected a kind of requirement (interlock, never, ")
    assert problem.endswith(", found 'nevr'; did you mean never?")


def test_a_requirement_without_a_kind_is_told_the_kinds() -> None:
    (problem,) = problems_of(MINIMAL + "requirements:\n  - {id: R1}\n")
    assert problem.startswith("f:5:5: expected a kind of requirement (interlock, never, ")
    assert problem.endswith("), found nothing")


def test_every_line_of_a_good_file_can_be_cut_without_a_traceback() -> None:
    """Each file is good or refused with places in it; no other exception may come."""
    lines = SPLICER.splitlines(keepends=True)
    for index in range(len(lines)):
        try:
            read_sequence_text("".join(lines[:index] + lines[index + 1 :]), "f")
        except SequenceFileError as error:
            assert all(problem.place.file == "f" for problem in error.problems)


def test_a_file_that_is_not_there_is_a_problem(tmp_path: Path) -> None:
    with pytest.raises(SequenceFileError, match="expected a readable file"):
        read_sequence(tmp_path / "none.yaml")


@pytest.mark.parametrize("section", ["devices", "circuits", "alarms", "flags"])
def test_a_misspelt_section_is_one_problem(section: str) -> None:
    """What stands in it is not called unknown wherever it is used."""
    (problem,) = problems_of(SPLICER.replace(f"\n{section}:", f"\nx{section}:"))
    assert problem.endswith(
        f"expected a section of a sequence file, found 'x{section}'; did you mean {section}?"
    )


def test_a_name_without_a_dot_is_compared_with_names_without_a_dot() -> None:
    (problem,) = problems_of(SPLICER.replace("lit: spliced AND", "lit: spliceds AND"))
    assert problem.endswith("found 'spliceds'; did you mean spliced?")
    (problem,) = problems_of(SPLICER.replace("lit: spliced AND", "lit: splic AND"))
    assert problem.endswith("found 'splic'; did you mean spliced?")
