"""The JSON Schema accepts good files and marks misspelt names, as an editor would."""

from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from reader.smallest_file import BUTTON, MINIMAL
from reader.splicer_file import SPLICER
from reader.two_spindles import TWO_SPINDLES

from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.reader.schema import json_schema
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    return Draft202012Validator(json_schema())


def is_accepted(validator: Draft202012Validator, text: str) -> bool:
    document: Any = yaml.safe_load(text)
    return bool(validator.is_valid(document))


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(json_schema())


@pytest.mark.parametrize(
    "text", [SPLICER, MINIMAL, MINIMAL + BUTTON, TWO_SPINDLES], ids=["splicer", "minimal", "button", "copies"]
)
def test_good_files_are_accepted(validator: Draft202012Validator, text: str) -> None:
    assert is_accepted(validator, text)


@pytest.mark.parametrize(
    ("good", "bad"),
    [
        ("revision: 7", "revison: 7"),
        ("write: 0..10 ms", "wrote: 0..10 ms"),
        ("least: 20 N", "lest: 20 N"),
        ("output: knife_fire", "outptu: knife_fire"),
        ("band: 5..40 ms", "bant: 5..40 ms"),
        ("delay: 2..5 ms", "dely: 2..5 ms"),
        ("type: guard", "type: gard"),
        ("because: the", "becuase: the"),
        ("hazard: cut", "hasard: cut"),
        ("discrepancy: 500 ms", "discrepency: 500 ms"),
        ("text: The festoon", "txt: The festoon"),
        ("within: 30 s", "witin: 30 s"),
        ("within: 1.5 s", "within: soon"),
        ("alarm: knife_late", "prompt: knife_late"),
        ("{to: ready, if:", "{too: ready, if:"),
        ("{knife_fire: L 300 ms}", "{knife_fire: L}"),
        ("{spliced: S}", "{spliced: Q}"),
        ("any step but", "any stop but"),
        ("prompt: Clear", "promt: Clear"),
        ("only while:", "only_while:"),
        ("severity: production", "severity: productive"),
        ("start: anywhere", "start: here"),
        ("from: filling", "form: filling"),
        ("    given: hood", "    givn: hood"),
    ],
)
def test_a_misspelt_name_is_marked(validator: Draft202012Validator, good: str, bad: str) -> None:
    assert good in SPLICER
    assert not is_accepted(validator, SPLICER.replace(good, bad, 1))


def test_a_variant_may_leave_out_and_delete(validator: Draft202012Validator) -> None:
    text = """\
base: other.yaml
note: ~
devices: {knife: {out: 1..2 s}, hood: null}
charts: {splice: {filling: {within: 20 s}}}
requirements:
  - {id: R1, drop within: 80 ms}
  - {R2: null}
"""
    assert is_accepted(validator, text)
    assert not is_accepted(validator, text.replace("base", "bass"))
    assert not is_accepted(validator, text.replace("within: 20 s", "witin: 20 s"))
    assert not is_accepted(validator, text.replace("drop within", "drop withn"))


def descriptions(schema: Any) -> list[str]:
    if isinstance(schema, list):
        return [text for item in schema for text in descriptions(item)]
    if not isinstance(schema, dict):
        return []
    own = [schema["description"]] if isinstance(schema.get("description"), str) else []
    return own + [text for value in schema.values() for text in descriptions(value)]


def test_every_declared_meaning_is_shown_to_the_editor() -> None:
    shown = set(descriptions(json_schema()))
    device_types, kinds = DEVICE_TYPES.values(), REQUIREMENT_KINDS.values()
    assert {owner.meaning for owner in device_types} | {owner.meaning for owner in kinds} <= shown
    fields = [field for owner in device_types for field in owner.fields]
    fields += [field for owner in kinds for field in owner.fields]
    members = [member for field in fields for member in field.members]
    assert {field.meaning for field in (*fields, *members)} <= shown


@pytest.mark.parametrize(
    ("good", "bad"), [("[a, b]", "[a]"), ("[a, b]", "{a: 1}"), ("chuck_<spindle>: {type", "chuck_<spin dle x>: {type")]
)
def test_copies_that_are_wrong_are_marked(validator: Draft202012Validator, good: str, bad: str) -> None:
    assert good in TWO_SPINDLES
    assert not is_accepted(validator, TWO_SPINDLES.replace(good, bad, 1))
