"""Variants: a file with `base: other.yaml` takes everything from its base and changes some of it.

Maps are joined name by name, lists are replaced as a whole, `null` deletes what the base has. Requirements
are joined by their id; `- {R3: null}` deletes R3. Every value keeps the place of the file it was written in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import PurePath

from seqcheck.errors import Place, SequenceFileError
from seqcheck.language.document import ListNode, MapNode, Node, Scalar
from seqcheck.reader.limits import MOST_BASES
from seqcheck.reader.plain_value import read_text
from seqcheck.reader.problem_log import ProblemLog

BASE_KEY = "base"
REQUIREMENTS_KEY = "requirements"

LoadFile = Callable[[str, Place], MapNode]
"""Reads the file of that name, named at that place. Raises SequenceFileError where it cannot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """A file joined with its bases; `base_file` is the file that it names as its own base, or None."""

    document: MapNode
    base_file: str | None


def joined_with_bases(document: MapNode, file: str, load: LoadFile, log: ProblemLog) -> Joined:
    """Return the file with everything that its base, and the base's base, say and it does not.

    A base that cannot be read is noted; the file is then returned without it. Raises nothing.
    """
    return _joined(document, (file,), load, log)


def _joined(document: MapNode, chain: tuple[str, ...], load: LoadFile, log: ProblemLog) -> Joined:
    node = document.get(BASE_KEY)
    own = _without(document, BASE_KEY)
    file = None if node is None else _base_file(node, chain, log)
    if node is None or file is None:
        return Joined(document=own, base_file=None)
    try:
        base = load(file, node.place)
    except SequenceFileError as error:
        log.add(error.problems)
        return Joined(document=own, base_file=file)
    below = _joined(base, (*chain, file), load, log).document
    return Joined(document=_joined_top(below, own), base_file=file)


def _base_file(node: Node, chain: tuple[str, ...], log: ProblemLog) -> str | None:
    name = read_text(node, "the path of the base, relative to this file", log)
    if name is None:
        return None
    if PurePath(name).is_absolute():
        log.note(node.place, "a path relative to this file", repr(name))
        return None
    file = _normal((PurePath(chain[-1]).parent / name).as_posix())
    if file in {_normal(before) for before in chain}:
        log.note(node.place, "a base that does not come back to this file", repr(name))
        return None
    if len(chain) > MOST_BASES:
        log.note(node.place, f"at most {MOST_BASES} bases one below the other", "more")
        return None
    return file


def _normal(file: str) -> str:
    """Return the path without `.` and `a/..`, so that one file has one spelling."""
    parts: list[str] = []
    for part in PurePath(file).parts:
        if part == ".." and parts and parts[-1] not in ("..", "/"):
            parts.pop()
        else:
            parts.append(part)
    return PurePath(*parts).as_posix()


def _without(document: MapNode, name: str) -> MapNode:
    entries = tuple((key, value) for key, value in document.entries if key.text != name)
    return MapNode(document.place, entries)


def _joined_top(base: MapNode, variant: MapNode) -> MapNode:
    """Join two whole files; only at the top is a list joined, that of the requirements."""
    own, inherited = variant.get(REQUIREMENTS_KEY), base.get(REQUIREMENTS_KEY)
    joined = joined_maps(base, variant)
    if not isinstance(own, ListNode) or not isinstance(inherited, ListNode):
        return joined
    requirements = joined_requirements(inherited, own)
    entries = tuple(
        (key, requirements if key.text == REQUIREMENTS_KEY else value) for key, value in joined.entries
    )
    return MapNode(joined.place, entries)


def joined_maps(base: MapNode, variant: MapNode) -> MapNode:
    """Return the base with what the variant says: name by name, `null` deletes."""
    entries = {key.text: (key, value) for key, value in base.entries}
    for key, value in variant.entries:
        inherited = entries.get(key.text)
        if inherited is not None and _is_null(value):
            del entries[key.text]
        elif inherited is not None and isinstance(value, MapNode) and isinstance(inherited[1], MapNode):
            entries[key.text] = (key, joined_maps(inherited[1], value))
        else:
            entries[key.text] = (key, value)
    return MapNode(variant.place, tuple(entries.values()))


def joined_requirements(base: ListNode, variant: ListNode) -> ListNode:
    """Return the requirements of both, joined by id; `{R3: null}` deletes."""
    items: dict[str, Node] = {_key_of(item, f"base {i}"): item for i, item in enumerate(base.items)}
    for index, item in enumerate(variant.items):
        deleted = _deleted_id(item)
        key = _key_of(item, f"variant {index}")
        inherited = items.get(key)
        if deleted is not None and f"id {deleted}" in items:
            del items[f"id {deleted}"]
        elif isinstance(item, MapNode) and isinstance(inherited, MapNode):
            items[key] = joined_maps(inherited, item)
        else:
            items[key] = item
    return ListNode(variant.place, tuple(items.values()))


def _key_of(item: Node, otherwise: str) -> str:
    """Return what a requirement is found by; one without id is joined with nothing."""
    identity = item.get("id") if isinstance(item, MapNode) else None
    return f"id {identity.text}" if isinstance(identity, Scalar) else otherwise


def _deleted_id(item: Node) -> str | None:
    """Return the id in `{R3: null}`."""
    if isinstance(item, MapNode) and len(item.entries) == 1 and _is_null(item.entries[0][1]):
        return item.entries[0][0].text
    return None


def _is_null(node: Node) -> bool:
    return isinstance(node, Scalar) and node.is_null
