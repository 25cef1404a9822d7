"""What a requirement asks, as plain values that can be kept in a file and compared with another revision of it."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.errors import Place
from seqcheck.language.expression import Expression, to_text
from seqcheck.language.field import FieldValue
from seqcheck.language.sequence import Requirement

CONDITION = "condition"
NUMBER = "number"
NAMES = "names"
TEXT = "text"

Plain = str | float | tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One field of a requirement. `sort` says what `value` is: a condition's text, a number, names, other text.

    Numbers are in the units of the field's kind: microseconds, millimetres, ratios.
    """

    name: str
    sort: str
    value: Plain


@dataclass(frozen=True, slots=True, kw_only=True)
class RequirementFacts:
    """A requirement without its place in any network. `faults` with `named` and `controller` are its hypothesis.

    `allowed` None: people may do everything; `still`: devices that nobody acts on.
    """

    id: str
    kind: str
    sentence: str
    severity: str
    place: Place
    facts: tuple[Fact, ...]
    faults: int = 0
    named: tuple[str, ...] = ()
    controller: bool = False
    allowed: tuple[str, ...] | None = None
    still: tuple[str, ...] = ()
    start_anywhere: bool = False

    def fact(self, name: str) -> Fact | None:
        """The field called `name`, or None."""
        return next((fact for fact in self.facts if fact.name == name), None)


def facts_of(requirement: Requirement) -> RequirementFacts:
    """What `requirement` asks."""
    under, given = requirement.under, requirement.given
    return RequirementFacts(
        id=requirement.id,
        kind=requirement.kind,
        sentence=requirement.text,
        severity=requirement.severity,
        place=requirement.place,
        facts=tuple(_fact(entry.name, entry.value) for entry in requirement.entries),
        faults=under.count,
        named=under.named,
        controller=under.controller,
        allowed=given.allowed,
        still=tuple(f"{device} stays {word}" for device, word in given.still),
        start_anywhere=requirement.start_anywhere,
    )


def _fact(name: str, value: FieldValue) -> Fact:
    if isinstance(value, Expression):
        return Fact(name=name, sort=CONDITION, value=to_text(value))
    if isinstance(value, int | float):
        return Fact(name=name, sort=NUMBER, value=float(value))
    if isinstance(value, tuple) and all(isinstance(part, str) for part in value):
        return Fact(name=name, sort=NAMES, value=tuple(str(part) for part in value))
    return Fact(name=name, sort=TEXT, value=str(value))
