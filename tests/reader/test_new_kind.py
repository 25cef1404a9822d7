"""A new requirement kind needs no change in the reader: every kind of field is read from its declaration."""

from collections.abc import Iterator

import pytest
from reader.splicer_file import SPLICER

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import Expression, to_text
from seqcheck.language.field import Act, Field, FieldKind, Signal
from seqcheck.language.sequence import Requirement
from seqcheck.quantities.time import TimeRange
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS
from seqcheck.requirements.requirement import RequirementKind


def field(name: str, kind: FieldKind) -> Field:
    return Field(name=name, kind=kind, meaning=f"the {name}", choices=("high", "low"))


TRIAL = RequirementKind(
    name="trial",
    meaning="a kind with every kind of field",
    fields=(
        field("trial of", FieldKind.OUTPUT),
        field("input", FieldKind.SIGNAL),
        field("acts", FieldKind.ACTS),
        field("times", FieldKind.TIME_RANGE),
        field("step", FieldKind.NAME),
        field("names", FieldKind.NAMES),
        field("conditions", FieldKind.CONDITIONS),
        field("circuit", FieldKind.ENERGY),
        field("level", FieldKind.WORD),
        field("share", FieldKind.RATIO),
        field("length", FieldKind.LENGTH),
        field("force", FieldKind.FORCE),
        field("reason", FieldKind.TEXT),
    ),
    monitors=lambda _requirement, _sequence: (),
)


@pytest.fixture(autouse=True)
def trial_kind(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setitem(REQUIREMENT_KINDS, "trial", TRIAL)
    yield


def read_trial(fields: str) -> Requirement:
    text = f"{SPLICER}  - {{id: R9, trial of: knife_fire, {fields}}}\n"
    return read_sequence_text(text, "f").requirements[-1]


def problem_of(fields: str) -> str:
    with pytest.raises(SequenceFileError) as caught:
        read_trial(fields)
    (problem,) = caught.value.problems
    return problem.text().partition(": ")[2]


@pytest.mark.parametrize(
    ("fields", "name", "value"),
    [
        ("input: estop_ok", "input", Signal(name="estop_ok")),
        ("times: 1..2 s", "times", TimeRange(1_000_000, 2_000_000)),
        ("step: cutting", "step", "splice.cutting"),
        ("step: lamp.lit", "step", "lamp.lit"),
        ("step: knife", "step", "knife"),
        ("names: [cutting, knife.jams]", "names", ("splice.cutting", "knife.jams")),
        ("names: 'cutting, lit'", "names", ("splice.cutting", "lamp.lit")),
        ("names: all", "names", ("all",)),
        ("circuit: drives", "circuit", "drives"),
        ("level: high", "level", "high"),
        ("share: 15 %", "share", 0.15),
        ("length: 1.5 m", "length", 1500.0),
        ("force: 60 N", "force", 60.0),
        ("reason: why not", "reason", "why not"),
        (
            (
                "acts: [repair knife within 1..2 s, {device: hood, act: closes, within: 1 s}, "
                "repair drives within 1 s]"
            ),
            "acts",
            (
                Act(device="knife", act="repair", within=TimeRange(1_000_000, 2_000_000)),
                Act(device="hood", act="closes", within=TimeRange(1_000_000, 1_000_000)),
                Act(device="drives", act="repair", within=TimeRange(1_000_000, 1_000_000)),
            ),
        ),
    ],
)
def test_every_kind_of_field_has_its_value(fields: str, name: str, value: object) -> None:
    entry = read_trial(fields).entry(name)
    assert entry is not None
    assert entry.value == value


def test_conditions_are_looked_up() -> None:
    conditions = read_trial("conditions: [cutting.X, NOT knife.is_out]").value("conditions", tuple)
    assert conditions is not None
    texts = [to_text(part) for part in conditions if isinstance(part, Expression)]
    assert texts == ["splice.cutting.X", "NOT knife.is_out"]


def test_acts_make_a_sentence() -> None:
    requirement = read_trial("acts: [repair knife within 1..2 s, hood closes within 3 s]")
    assert requirement.text == (
        "trial of knife_fire, acts repair knife within 1..2 s, then hood closes within 3 s"
    )


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        ("input: estop", "expected an input, found 'estop'; did you mean estop_ok?"),
        ("circuit: drive", "expected a circuit, found 'drive'; did you mean drives?"),
        ("step: cuting", "expected a name defined in this file, found 'cuting'; did you mean cutting?"),
        ("level: hi", "expected a word for 'level' (high, low), found 'hi'; did you mean high?"),
        ("share: 15 mm", "expected a ratio such as '15 %', found '15 mm'"),
        ("force: 60 kg", "expected a tension such as '60 N', found '60 kg'"),
        ("acts: repair knif within 1 s", "expected a device, found 'knif'; did you mean knife?"),
        ("acts: hood close within 1 s", "expected an act on hood, found 'close'; did you mean closes?"),
        (
            "acts: close the hood",
            (
                "expected an act such as 'hood closes within 1..20 s' or 'repair knife within 1..10 min', "
                "found 'close the hood'"
            ),
        ),
        ("acts: hood closes within soon", "expected a time such as '250 ms', found 'soon'"),
        (
            "acts: [{device: hood, act: closes}]",
            "expected 'device', 'act' and 'within' of an act, found nothing for one of them",
        ),
    ],
)
def test_a_wrong_value_is_one_problem(fields: str, problem: str) -> None:
    assert problem_of(fields) == problem


def test_an_output_that_no_device_has_is_a_problem() -> None:
    with pytest.raises(
        SequenceFileError, match="expected an output, found 'knife_fir'; did you mean knife_fire"
    ):
        read_sequence_text(f"{SPLICER}  - {{id: R9, trial of: knife_fir}}\n", "f")
