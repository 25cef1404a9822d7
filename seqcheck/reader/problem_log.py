"""The mistakes found so far in one reading of a file.

A reader that stops at the first mistake makes its user come back ten times. Every reader here notes what is
wrong, returns what it could make of the rest (None where nothing), and goes on.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice

from seqcheck.errors import Place, Problem, SequenceFileError, nearest_name

MOST_PROBLEMS = 200
"""Problems kept for one file. Nobody reads more at once, and each may cost a search for the nearest name."""

MOST_COMPARED_NAMES = 5_000
"""Names among which the nearest is looked for; a real file has a few hundred, and each costs time."""


class ProblemLog:
    """Collects problems; owned by one call of `read_sequence`. Only grows. No problem is kept twice."""

    def __init__(self) -> None:
        """Start without a problem."""
        self._problems: dict[Problem, None] = {}
        self._noted = 0

    def __len__(self) -> int:
        """Return how often a problem was noted, also beyond the bound: it grows with every mistake."""
        return self._noted

    def add(self, problems: Iterable[Problem]) -> None:
        """Keep problems that another layer found."""
        for problem in problems:
            self._noted += 1
            if len(self._problems) < MOST_PROBLEMS:
                self._problems[problem] = None

    def note(self, place: Place, expected: str, found: str, nearest: str | None = None) -> None:
        """Keep one problem."""
        self.add([Problem(place=place, expected=expected, found=found, nearest=nearest)])

    def unknown(self, place: Place, expected: str, name: str, known: Iterable[str]) -> None:
        """Keep the problem that `name` is none of the `known` ones; the nearest of them is proposed.

        A name with a dot is compared with such names, one without a dot with those without.
        """
        alike = (other for other in known if ("." in other) == ("." in name))
        compared = islice(alike, MOST_COMPARED_NAMES)
        is_full = len(self._problems) >= MOST_PROBLEMS
        self.note(place, expected, repr(name), None if is_full else nearest_name(name, compared))

    def raise_if_any(self) -> None:
        """Raise SequenceFileError with all problems if there is one."""
        if self._problems:
            raise SequenceFileError(self._problems)
