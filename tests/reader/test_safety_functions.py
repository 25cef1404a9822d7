"""The section `safety_functions`: what is read, and every problem with its place."""

from __future__ import annotations

import pytest
from report.guarded_knife import MACHINE, REQUIREMENTS

from seqcheck.errors import SequenceFileError
from seqcheck.language.safety_function import SafetyFunction
from seqcheck.quantities.number import parse_number, parse_years
from seqcheck.reader.read import read_sequence_text


def function_of(fields: str) -> SafetyFunction:
    text = f"{MACHINE}{REQUIREMENTS}safety_functions:\n  f: {{{fields}}}\n"
    (function,) = read_sequence_text(text, "f.yaml").safety_functions
    return function


def refusal(fields: str) -> str:
    with pytest.raises(SequenceFileError) as error:
        function_of(fields)
    return str(error.value)


def test_values_are_read_with_their_units() -> None:
    function = function_of(
        "kind: light curtain, device: hood, resolution: 14 mm, distance: 0.5 m, further time: 20 ms, stopping time: [T1, T2], "
        "logic: {category: '3', MTTFd: 80 years, DC: 90 %, CCF: 65}"
    )
    assert function.value("distance", float) == 500
    assert function.value("further time", int) == 20_000
    assert function.value("stopping time", tuple) == ("T1", "T2")
    assert function.value("logic.MTTFd", float) == 80
    assert function.value("logic.DC", float) == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ("kind: guard", "'device'"),
        ("kind: gard, device: hood", "did you mean guard?"),
        ("kind: guard, device: hod", "did you mean hood?"),
        ("kind: guard, device: hood, stopping time: T3", "the id of a requirement, found 'T3'"),
        ("kind: guard, device: hood, stopping time: S1", "a requirement with a time"),
        ("kind: light curtain, device: hood", "'resolution'"),
        ("kind: guard, device: hood, input: {category: '3'}", "'MTTFd', or 'B10d' with 'operations'"),
        ("kind: guard, device: hood, input: {category: '3', B10d: 2e6}", "'MTTFd', or 'B10d' with 'operations'"),
        ("kind: guard, device: hood, input: {category: '5', MTTFd: 3 years}", "B, 1, 2, 3, 4"),
        ("kind: guard, device: hood, input: {category: '3', MTTFd: 30}", "80 years"),
        ("kind: guard, device: hood, distance: 20 ms", "length"),
    ],
)
def test_what_is_wrong_is_said(fields: str, words: str) -> None:
    text = refusal(fields)
    assert words in text
    assert text.startswith("f.yaml:")


def test_a_function_may_rest_on_a_rule() -> None:
    function = "f: {kind: emergency stop, device: stop, stopping time: S0.stop.safety}"
    text = f"{MACHINE}rules: [{{stop category: '0'}}]\nsafety_functions:\n  {function}\n"
    assert read_sequence_text(text, "f.yaml").safety_functions[0].value("stopping time", tuple) == ("S0.stop.safety",)


@pytest.mark.parametrize(("text", "number"), [("2000000", 2e6), ("2e6", 2e6), ("1.3E6", 1.3e6), ("0.5", 0.5)])
def test_numbers(text: str, number: float) -> None:
    assert parse_number(text) == number


@pytest.mark.parametrize("text", ["", "-1", "0", "1e99", "nan", "inf", "0x10", "1_000", "9" * 40])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="expected a number"):
        parse_number(text)


def test_years_need_their_unit() -> None:
    assert parse_years("1 year") == 1
    with pytest.raises(ValueError, match="80 years"):
        parse_years("80")
