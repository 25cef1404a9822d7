"""The section `safety_functions`: its fields, and how they are read and looked up."""

from __future__ import annotations

from seqcheck.language.document import MapNode, Node
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.safety_function import SafetyEntry, SafetyFunction
from seqcheck.language.sequence import Requirement
from seqcheck.reader.field_value import read_fields
from seqcheck.reader.limits import MOST_SAFETY_FUNCTIONS
from seqcheck.reader.names import NameKind, Names
from seqcheck.reader.plain_value import check_count, read_map, read_name
from seqcheck.reader.problem_log import ProblemLog

KINDS = ("guard", "guard locking", "light curtain", "two-hand control", "emergency stop")
PARTS = ("input", "logic", "output")
MEASURED_KINDS = ("reaction", "duration", "completion", "interlock")
"""Kinds of requirements that come to a worst time."""

_PART_FIELDS = (
    Field(
        name="category", kind=FieldKind.WORD, meaning="designated architecture", required=True, choices=("B", "1", "2", "3", "4")
    ),
    Field(name="MTTFd", kind=FieldKind.YEARS, meaning="mean time to dangerous failure of a channel; or B10d"),
    Field(name="B10d", kind=FieldKind.NUMBER, meaning="operations after which 10 % have failed dangerously"),
    Field(name="operations", kind=FieldKind.NUMBER, meaning="operations a year, with B10d"),
    Field(name="DC", kind=FieldKind.RATIO, meaning="diagnostic coverage; 0 % if not given"),
    Field(name="CCF", kind=FieldKind.NUMBER, meaning="points against common cause failures, of 100"),
)

SAFETY_FIELDS = (
    Field(name="kind", kind=FieldKind.WORD, meaning="what it is", required=True, choices=KINDS),
    Field(name="text", kind=FieldKind.TEXT, meaning="the safety function as a sentence"),
    Field(name="device", kind=FieldKind.NAME, meaning="the guard, curtain or emergency stop that triggers it", required=True),
    Field(
        name="stopping time",
        kind=FieldKind.NAMES,
        meaning="requirements whose proven worst times are the stopping time; the longest counts",
    ),
    Field(name="further time", kind=FieldKind.TIME, meaning="what the model does not have, such as the response of a curtain"),
    Field(name="distance", kind=FieldKind.LENGTH, meaning="from the device to the hazard, as built"),
    Field(name="edition", kind=FieldKind.WORD, meaning="of ISO 13855; 2010 if not given", choices=("2010", "2024")),
    Field(name="resolution", kind=FieldKind.LENGTH, meaning="what a light curtain detects"),
    Field(name="opening", kind=FieldKind.TIME, meaning="time to open a guard far enough for a hand"),
    Field(name="reach", kind=FieldKind.LENGTH, meaning="how far one reaches through the opening before it is noticed"),
    Field(name="stop category", kind=FieldKind.WORD, meaning="asked for", choices=("0", "1", "2")),
    Field(name="required", kind=FieldKind.WORD, meaning="performance level asked for", choices=("a", "b", "c", "d", "e")),
    *(Field(name=part, kind=FieldKind.GROUP, meaning=f"the {part} of its chain", members=_PART_FIELDS) for part in PARTS),
)
"""What a safety function may say."""


def read_safety_functions(node: Node | None, log: ProblemLog) -> tuple[SafetyFunction, ...]:
    """Return the safety functions that are clear, in the order of the file."""
    section = None if node is None else read_map(node, "a map of safety functions", log)
    if section is None:
        return ()
    check_count(section.place, len(section.entries), MOST_SAFETY_FUNCTIONS, "safety functions", log)
    found = [_function(key, value, log) for key, value in section.entries[:MOST_SAFETY_FUNCTIONS]]
    return tuple(part for part in found if part is not None)


def _function(key: Node, value: Node, log: ProblemLog) -> SafetyFunction | None:
    name = read_name(key, "the name of a safety function", log)
    owner = read_map(value, "a map with kind and device", log)
    if name is None or owner is None:
        return None
    read = read_fields(owner, SAFETY_FIELDS, (), f"safety function {name}", owner.place, log)
    entries = tuple(SafetyEntry(name=part.name, value=part.value, place=part.place) for part in read.entries)
    function = SafetyFunction(name=name, place=owner.place, entries=entries)
    _check_parts(function, owner, log)
    return function


def _check_parts(function: SafetyFunction, owner: MapNode, log: ProblemLog) -> None:
    """Each part needs MTTFd, or B10d with operations; a light curtain needs its resolution."""
    for part in PARTS:
        node = owner.get(part)
        has = {name: function.entry(f"{part}.{name}") is not None for name in ("MTTFd", "B10d", "operations")}
        if node is not None and not has["MTTFd"] and not (has["B10d"] and has["operations"]):
            log.note(node.place, f"'MTTFd', or 'B10d' with 'operations', in {part} of {function.name}", "neither")
    if function.value("kind", str) == "light curtain" and function.entry("resolution") is None:
        log.note(function.place, f"'resolution' in {function.name} (what the curtain detects)", "nothing")


def check_safety_functions(
    functions: tuple[SafetyFunction, ...], requirements: tuple[Requirement, ...], names: Names, log: ProblemLog
) -> None:
    """Note devices that there are not, and requirements that there are not or that come to no time."""
    kinds = {requirement.id: requirement.kind for requirement in requirements}
    for function in functions:
        device = function.entry("device")
        if device is not None and isinstance(device.value, str) and names.kinds.get(device.value) is not NameKind.DEVICE:
            log.unknown(device.place, "a device of this file", device.value, names.of_kind(NameKind.DEVICE))
        rests_on = function.entry("stopping time")
        wanted = rests_on.value if rests_on is not None and isinstance(rests_on.value, tuple) else ()
        for name in wanted:
            assert rests_on is not None, "there is a value"
            if name not in kinds:
                log.unknown(rests_on.place, "the id of a requirement", str(name), kinds)
            elif kinds[str(name)] not in MEASURED_KINDS:
                log.note(rests_on.place, f"a requirement with a time ({', '.join(MEASURED_KINDS)})", f"{name}, {kinds[str(name)]}")
