"""The interlock matrix against requirements that ask the same of the checker, one cell at a time."""

from report.guarded_knife import judged, review

from seqcheck.report.interlock_matrix import Asked, Cell
from seqcheck.requirements.verdict import Verdict

CELLS = [
    ("knife_fire", "NOT hood.is_open"),
    ("knife_fire", "press_home"),
    ("knife_fire", "safety.is_on"),
    ("press_close", "safety.is_on"),
    ("knife.is_moving", "NOT hood.is_open"),
    ("knife.is_moving", "NOT stop.is_pressed"),
    ("press.is_moving", "press_home"),
    ("safety.is_on", "safety_ok"),
]


def cell(subject: str, permissive: str) -> Cell:
    return review().matrix.cell(subject, permissive)


def opposite(text: str) -> str:
    """The negation of a name, of its negation, or of names joined by OR."""
    return text.removeprefix("NOT ") if text.startswith("NOT ") else f"NOT ({text})"


def verdicts(pairs: list[tuple[str, str]], under: str) -> list[Verdict]:
    """What requirements of their own say, in explorations sliced and grouped for them."""
    outcomes = judged(*(f"never: {subject} AND {opposite(text)}, under: {under}" for subject, text in pairs))
    return [outcome.verdict for outcome in outcomes]


def test_without_fault_it_is_what_requirements_say() -> None:
    found = [cell(*pair).always_without_fault for pair in CELLS]
    assert found == [verdict is Verdict.HOLDS for verdict in verdicts(CELLS, "no fault")]
    assert True in found and False in found


def test_with_one_fault_it_is_what_requirements_say() -> None:
    pairs = [pair for pair in CELLS if "." in pair[1]]
    found = [cell(*pair).always_with_one_fault for pair in pairs]
    assert found == [verdict is Verdict.HOLDS for verdict in verdicts(pairs, "any one fault")]


def test_every_guarantee_with_one_fault_is_one() -> None:
    """Each was found by looking at states; as a requirement it is proven by a search of its own."""
    pairs = [(part.subject, text) for part in review().matrix.guarantees for text in part.with_one_fault]
    assert ("knife_fire", "NOT press.is_out") in pairs
    assert set(verdicts(pairs, "any one fault")) <= {Verdict.HOLDS, Verdict.VACUOUS}


def test_what_is_not_guaranteed_is_broken_by_some_run() -> None:
    pairs = [(part.subject, text) for part in review().matrix.guarantees for text in part.not_guaranteed]
    assert pairs
    assert set(verdicts(pairs, "any one fault")) == {Verdict.VIOLATED}


def test_asked_proven_and_violated_are_told_apart() -> None:
    assert cell("knife_fire", "safety_ok").asked is Asked.PROVEN
    assert cell("knife_fire", "safety_ok").proven_faults == 1
    violated = cell("knife.is_moving", "NOT hood.is_open")
    assert violated.asked is Asked.VIOLATED
    assert violated.answers[0].witness == "S1"
    assert cell("press_close", "safety.is_on").asked is Asked.NOT_ASKED


def test_of_inputs_nothing_is_said_with_failures() -> None:
    """A contact that fails at the read has failed before it; what an input says in between is not in a state."""
    assert cell("knife_fire", "press_home").always_with_one_fault is None


def test_rows_are_outputs_motions_and_energy() -> None:
    assert [part.name for part in review().matrix.subjects] == [
        "knife_fire", "press_close", "knife.is_moving", "press.is_moving", "safety.is_on",
    ]  # fmt: skip


def test_every_row_meets_every_column_once() -> None:
    matrix = review().matrix
    pairs = [(part.subject, part.permissive) for part in matrix.cells]
    assert pairs == [(row.name, column.condition) for row in matrix.subjects for column in matrix.permissives]


