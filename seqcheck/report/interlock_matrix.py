"""The interlock matrix: each hazardous output, motion and energy against each permissive."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.requirements.verdict import Verdict


class SubjectKind(Enum):
    """What a row of the matrix is."""

    OUTPUT = "output"
    MOTION = "motion"
    ENERGY = "energy"


class Asked(Enum):
    """What the requirements say of a cell."""

    PROVEN = "proven"
    VIOLATED = "violated"
    UNDECIDED = "undecided"
    """Undecided or vacuous: no pass."""
    NOT_ASKED = "not asked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A row: `name` is an output (`knife_fire`), a motion (`knife.is_moving`) or a circuit (`safety.is_on`).

    `hazards` are (device, hazard) pairs that it acts on.
    """

    name: str
    kind: SubjectKind
    hazards: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Permissive:
    """A column: a condition as text (`hood_locked`, `NOT hood.is_open`). `on_machine`: it speaks of facts."""

    condition: str
    on_machine: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What one requirement says of a cell; `witness` is the id of the requirement whose witness shows the violation, or ""."""

    requirement: str
    verdict: Verdict
    hypothesis: str
    given: str
    witness: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One subject against one permissive.

    `asked` sums up `answers`. `proven_faults`: the most failures at once under which some requirement given anything proves it
    (0, 1, 2), None if none does. `always_without_fault` and `always_with_one_fault` are found from the exploration, whether asked
    or not: the permissive held in every state in which the subject was on; None where that was not explored (or the
    subject is never on). A requirement judges moments of reading and times of dropping; these judge states, so a permissive
    that is lost
    while the subject is still dropping shows as False here although the requirement holds.
    """

    subject: str
    permissive: str
    asked: Asked
    proven_faults: int | None
    always_without_fault: bool | None
    always_with_one_fault: bool | None
    answers: tuple[Answer, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Guarantee:
    """What in fact always holds while a subject is on, whether asked or not.

    `without_fault` and `with_one_fault`: conditions as text, on facts of the machine, steps, and (without fault only) inputs.
    `asked`: those among them that some requirement asks for. `not_guaranteed`: guards, emergency stops, circuits and other
    hazards of
    which nothing is guaranteed with one fault. `states`: states in which it was on, without and with one fault.
    """

    subject: str
    without_fault: tuple[str, ...]
    with_one_fault: tuple[str, ...]
    asked: tuple[str, ...]
    not_guaranteed: tuple[str, ...]
    states: tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class InterlockMatrix:
    """All rows, columns and cells (row by row, column by column), and what is guaranteed of each row.

    `explored` says in words which states `always...` and guarantees speak of; "" where a limit was reached and they say nothing.
    """

    subjects: tuple[Subject, ...]
    permissives: tuple[Permissive, ...]
    cells: tuple[Cell, ...]
    guarantees: tuple[Guarantee, ...]
    explored: str

    def cell(self, subject: str, permissive: str) -> Cell:
        """The cell of a row and a column."""
        return next(cell for cell in self.cells if (cell.subject, cell.permissive) == (subject, permissive))
