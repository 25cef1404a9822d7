"""Places, problems and the exceptions that carry them."""

import pickle

import pytest

from seqcheck.errors import (
    Place,
    Problem,
    SeqcheckError,
    SequenceFileError,
    UsageError,
    nearest_name,
)

LATE = Problem(place=Place("line.yaml", 12, 7), expected="a step", found="'redy'", nearest="ready")
EARLY = Problem(place=Place("line.yaml", 3, 1), expected="a name", found="a list")


def test_a_place_reads_as_file_line_and_column() -> None:
    assert str(Place("line.yaml", 12, 7)) == "line.yaml:12:7"


def test_a_problem_is_one_line_with_the_nearest_name_last() -> None:
    assert LATE.text() == "line.yaml:12:7: expected a step, found 'redy'; did you mean ready?"


def test_a_problem_without_a_near_name_makes_no_suggestion() -> None:
    assert EARLY.text() == "line.yaml:3:1: expected a name, found a list"


def test_a_refused_text_becomes_a_problem_at_its_place() -> None:
    problem = Problem.of(Place("line.yaml", 2, 5), ValueError("expected a time, found 'soon, found lost'"))
    assert problem.text() == "line.yaml:2:5: expected a time, found 'soon, found lost'"


def test_a_file_error_lists_its_problems_in_order_of_place() -> None:
    error = SequenceFileError([LATE, EARLY])
    assert error.problems == (EARLY, LATE)
    assert str(error) == f"{EARLY.text()}\n{LATE.text()}"


def test_a_file_error_survives_the_way_between_two_processes() -> None:
    error = pickle.loads(pickle.dumps(SequenceFileError([LATE, EARLY])))
    assert error.problems == (EARLY, LATE)


@pytest.mark.parametrize("kind", [SequenceFileError, UsageError])
def test_every_exception_has_the_one_root(kind: type[Exception]) -> None:
    assert issubclass(kind, SeqcheckError)


@pytest.mark.parametrize(
    ("wanted", "known", "nearest"),
    [
        ("clamp_closd", ["clamp_open", "clamp_closed", "knife_home"], "clamp_closed"),
        ("READY", ["read", "ready"], "ready"),
        ("ready", ["ready", "steady"], "steady"),
        ("hood", ["knife_through"], None),
        ("x" * 201, ["x" * 200], None),
        ("hood", [], None),
    ],
)
def test_the_nearest_name_is_the_most_similar_other_one(
    wanted: str, known: list[str], nearest: str | None
) -> None:
    assert nearest_name(wanted, known) == nearest
