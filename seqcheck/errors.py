"""What can be wrong, and where: places, problems, and the exceptions that carry them.

The tree of exceptions::

    SeqcheckError                everything that seqcheck raises on purpose
    ├── SequenceFileError        a file is wrong; carries every Problem found in it
    └── UsageError               the program was asked for something it cannot do

A mistake in a file is data (`Problem`), not a string: each writer decides how to show it.
"""

import difflib
from collections.abc import Iterable
from dataclasses import KW_ONLY, dataclass
from typing import Literal

Severity = Literal["error", "warning"]

LONGEST_COMPARED_NAME = 200
"""Characters. Comparing is quadratic in the length; nobody misspells a longer name by hand."""


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A spot in a text file; `line` and `column` count from 1, columns in characters.

    `copy`: where one text stands for several copies (`spindle a`), the one that is meant; else "".
    """

    file: str
    line: int
    column: int
    copy: str = ""

    def __str__(self) -> str:
        """Write `file:line:column`, which editors and build servers turn into a link."""
        return f"{self.file}:{self.line}:{self.column}"

    def after(self, characters: int) -> "Place":
        """Return the place so many characters later in the line."""
        return Place(self.file, self.line, self.column + characters, self.copy)


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake in a file: where it is, what should stand there, and what stands there.

    `nearest` is the known name that was probably meant; None if there is no such name.
    """

    _: KW_ONLY
    place: Place
    expected: str
    found: str
    nearest: str | None = None
    severity: Severity = "error"

    @classmethod
    def of(cls, place: Place, error: ValueError) -> "Problem":
        """Return the problem that a text at `place` was refused with ('expected ..., found ...')."""
        expected, _, found = str(error).removeprefix("expected ").partition(", found ")
        return cls(place=place, expected=expected, found=found or "something else")

    def text(self) -> str:
        """Return the problem as one line."""
        hint = f"; did you mean {self.nearest}?" if self.nearest else ""
        copy = f" (copy {self.place.copy})" if self.place.copy else ""
        return f"{self.place}: expected {self.expected}, found {self.found}{hint}{copy}"


class SeqcheckError(Exception):
    """The root of everything that seqcheck raises on purpose."""


class SequenceFileError(SeqcheckError):
    """A file cannot be used; `problems` holds all that is wrong with it, in order of place."""

    problems: tuple[Problem, ...]

    def __init__(self, problems: Iterable[Problem]) -> None:
        """Keep the problems, sorted by place; there must be at least one."""
        self.problems = tuple(sorted(problems, key=lambda problem: problem.place))
        assert self.problems, "an error without a problem tells nobody anything"
        super().__init__(self.problems)

    def __str__(self) -> str:
        """Write one problem a line."""
        return "\n".join(problem.text() for problem in self.problems)


class UsageError(SeqcheckError):
    """The program was called with options or files that it cannot work with."""


def nearest_name(wanted: str, known: Iterable[str]) -> str | None:
    """Return the name in `known` that `wanted` most probably misspells; None if none is close.

    A name that differs only in the case of its letters always counts as close.
    """
    if len(wanted) > LONGEST_COMPARED_NAME:
        return None
    names = sorted(set(known) - {wanted})
    same_letters = [name for name in names if name.casefold() == wanted.casefold()]
    return next(iter(same_letters or difflib.get_close_matches(wanted, names, n=1)), None)
