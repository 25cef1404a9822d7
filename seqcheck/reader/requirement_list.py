"""The requirements of a file: the kind is the one whose first field is there; the rest all kinds share."""

from __future__ import annotations

import re
from dataclasses import dataclass

from seqcheck.errors import Place
from seqcheck.language.document import ListNode, MapNode, Node, Scalar
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement
from seqcheck.reader.field_value import read_fields
from seqcheck.reader.given import read_given
from seqcheck.reader.hypothesis import read_hypothesis
from seqcheck.reader.limits import LONGEST_NAME, MOST_REQUIREMENTS
from seqcheck.reader.modes import IN_MODE
from seqcheck.reader.names import Names
from seqcheck.reader.plain_value import check_count, kind_of, read_map, read_names, read_text, read_word
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS
from seqcheck.requirements.requirement import RequirementKind

COMMON_KEYS = ("id", "text", "severity", "under", "given", "start", "clause", IN_MODE)
"""What every requirement may say, whatever its kind."""

SEVERITIES = ("safety", "production", "quality")
START_ANYWHERE = "anywhere"
ID_PATTERN = r"[A-Za-z0-9][A-Za-z0-9_.\-]*"
"""The id of a requirement, as a reviewer writes it: R1, SF-2.1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RequirementRead:
    """A requirement, and the modes that it names."""

    requirement: Requirement
    modes: tuple[Scalar, ...] = ()


def read_requirements(node: Node | None, names: Names, log: ProblemLog) -> tuple[RequirementRead, ...]:
    """Return the requirements that are clear, in the order of the file."""
    if node is None:
        return ()
    if not isinstance(node, ListNode):
        log.note(node.place, "a list of requirements ('- id: R1 ...')", kind_of(node))
        return ()
    check_count(node.place, len(node.items), MOST_REQUIREMENTS, "requirements", log)
    read = [_requirement(item, names, log) for item in node.items[:MOST_REQUIREMENTS]]
    requirements = tuple(requirement for requirement in read if requirement is not None)
    _check_ids(tuple(part.requirement for part in requirements), log)
    return requirements


def _check_ids(requirements: tuple[Requirement, ...], log: ProblemLog) -> None:
    first: dict[str, Place] = {}
    for requirement in requirements:
        if requirement.id in first:
            found = f"{requirement.id!r}, already used in {first[requirement.id]}"
            log.note(requirement.place, "each id once", found)
        first.setdefault(requirement.id, requirement.place)


def _requirement(node: Node, names: Names, log: ProblemLog) -> RequirementRead | None:
    owner = read_map(node, "a requirement (a map with id and kind)", log)
    if owner is None:
        return None
    identity = _identity(owner, log)
    kind = _kind(owner, log)
    if kind is None:
        return None
    what = f"requirement {identity} ({kind.name})"
    fields = read_fields(owner, kind.fields, COMMON_KEYS, what, owner.place, log)
    if kind.needs_given and owner.get("given") is None:
        log.note(owner.place, f"'given' in {what} ('given: anything' if nothing is narrowed)", "nothing")
    requirement = Requirement(
        id=identity,
        place=owner.place,
        kind=kind.name,
        text=_text(owner, "text", "a sentence", log) or default_text(owner, kind.fields),
        entries=fields.entries,
        severity=_severity(owner, log),
        under=read_hypothesis(owner.get("under"), names, log),
        given=read_given(owner.get("given"), names, log),
        start_anywhere=_starts_anywhere(owner, log),
        clause=_text(owner, "clause", "the clause of a standard", log),
    )
    modes = owner.get(IN_MODE)
    named = () if modes is None else read_names(modes, "a mode or a list of them", log)
    return RequirementRead(requirement=requirement, modes=named)


def _identity(owner: MapNode, log: ProblemLog) -> str:
    node = owner.get("id")
    if node is None:
        log.note(owner.place, "'id' in the requirement", "nothing")
        return "without id"
    text = read_text(node, "an id such as R1", log)
    if text is not None and (len(text) > LONGEST_NAME or re.fullmatch(ID_PATTERN, text) is None):
        log.note(node.place, "an id of letters, digits, '_', '-' and '.', such as R1", repr(text))
    return text or "without id"


def _kind(owner: MapNode, log: ProblemLog) -> RequirementKind | None:
    """Return the kind whose first field is there; where that of several is, the one that knows all fields."""
    present = set(owner.names()) - set(COMMON_KEYS)
    kinds = [kind for kind in REQUIREMENT_KINDS.values() if kind.fields[0].name in present]
    fitting = [kind for kind in kinds if present <= {field.name for field in kind.fields}]
    best = fitting if len(kinds) > 1 else kinds
    if len(best) == 1:
        return best[0]
    known = [kind.fields[0].name for kind in REQUIREMENT_KINDS.values()]
    if kinds:
        found = " and ".join(repr(kind.fields[0].name) for kind in kinds)
        log.note(owner.place, "one kind of requirement", found)
    else:
        _note_unknown_kind(owner, known, log)
    return None


def _note_unknown_kind(owner: MapNode, known: list[str], log: ProblemLog) -> None:
    expected = f"a kind of requirement ({', '.join(known)})"
    keys = [key for key, _ in owner.entries if key.text not in COMMON_KEYS]
    if keys:
        log.unknown(keys[0].place, expected, keys[0].text, known)
    else:
        log.note(owner.place, expected, "nothing")


def _text(owner: MapNode, name: str, expected: str, log: ProblemLog) -> str | None:
    node = owner.get(name)
    return None if node is None else read_text(node, f"{expected} for {name!r}", log)


def _severity(owner: MapNode, log: ProblemLog) -> str:
    node = owner.get("severity")
    return (node and read_word(node, "a severity", SEVERITIES, log)) or SEVERITIES[0]


def _starts_anywhere(owner: MapNode, log: ProblemLog) -> bool:
    node = owner.get("start")
    return node is not None and read_word(node, "a word for 'start'", (START_ANYWHERE,), log) is not None


def default_text(owner: MapNode, fields: tuple[Field, ...]) -> str:
    """Return the sentence of a requirement that has none: its fields as written, in their declared order."""
    parts = [(field, owner.get(field.name)) for field in fields]
    return ", ".join(f"{field.name} {_written(node, field)}" for field, node in parts if node is not None)


def _written(node: Node, field: Field) -> str:
    if isinstance(node, Scalar):
        return " ".join(node.text.split())
    if isinstance(node, ListNode):
        joint = ", then " if field.kind is FieldKind.ACTS else ", "
        return joint.join(_written(item, field) for item in node.items)
    return " ".join(f"{key.text} {_written(value, field)}" for key, value in node.entries)
