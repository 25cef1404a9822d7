"""Copies: one text for several equal parts of a machine.

With `copies: {spindle: [a, b]}` a map's entry whose name holds `<spindle>`, and a list's item that holds it, stand once for each
copy; inside, `<spindle>` is that copy's name and `<other spindle>` the other's. An entry that is written out
(`chuck_b: {out: 1..2 s}`) changes the copy of that name. Copies are written out before anything else is read, so that everything
else sees plain names; each value keeps the place of the one text, with the copy beside it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from math import prod

from seqcheck.errors import Place
from seqcheck.language.copy_set import CopySet
from seqcheck.language.document import ListNode, MapNode, Node, Scalar
from seqcheck.reader.copy_parameter import COPIES_KEY, read_copies
from seqcheck.reader.filled_text import Bound, Filling
from seqcheck.reader.limits import MOST_COPIED_NODES
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.reader.variants import REQUIREMENTS_KEY, joined_maps, joined_requirements

_PLAIN_SECTIONS = ("sequence", "revision", "note", COPIES_KEY)


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenOut:
    """A document without parameters, and the copies that it had."""

    document: MapNode
    copies: tuple[CopySet, ...] = ()


class _TooManyError(Exception):
    """The copies are more than a file may have."""


def written_out(document: MapNode, log: ProblemLog) -> WrittenOut:
    """Return the document with every copy written out; one without `copies` is returned as it is.

    Raises SequenceFileError with everything noted so far if that makes more values than a file may have.
    """
    section = document.get(COPIES_KEY)
    if section is None:
        return WrittenOut(document=document)
    parameters = {part.name: part for part in read_copies(section, log)}
    writer = _Writer(Filling(parameters, log))
    try:
        entries = tuple(writer.section(key, value) for key, value in document.entries if key.text != COPIES_KEY)
    except _TooManyError:
        log.note(section.place, f"at most {MOST_COPIED_NODES} values with every copy written out", "more")
        log.raise_if_any()
        raise
    names = writer.filling.names
    copies = tuple(
        CopySet(
            parameter=part.name,
            values=tuple(copied.value for copied in part.copies),
            names=tuple(names.get(part.name, ())),
        )
        for part in parameters.values()
    )
    return WrittenOut(document=MapNode(document.place, entries), copies=copies)


@dataclass(slots=True)
class _Writer:
    """Writes copies out. Mutable: counts the values it has made."""

    filling: Filling
    nodes: int = 0

    def section(self, key: Scalar, value: Node) -> tuple[Scalar, Node]:
        """A section of the file."""
        if key.text in _PLAIN_SECTIONS:
            return key, value
        if key.text == REQUIREMENTS_KEY and isinstance(value, ListNode):
            return key, self._requirements(value)
        return key, self._node(value, {})

    def _node(self, node: Node, bound: Bound) -> Node:
        self.nodes += 1
        if self.nodes > MOST_COPIED_NODES:
            raise _TooManyError
        if isinstance(node, Scalar):
            return self.filling.filled(node, bound)
        place = replace(node.place, copy=self.filling.copy_of(bound))
        if isinstance(node, ListNode):
            return ListNode(place, tuple(made for item in node.items for made, _ in self._items(item, bound)))
        return MapNode(place, tuple(self._entries(node, bound)))

    def _bindings(self, texts: Iterator[str], bound: Bound) -> Iterator[Bound]:
        """Every choice of copies for the parameters in `texts` that are not bound yet; one if there are none."""
        free = tuple(dict.fromkeys(name for text in texts for name in self.filling.unbound(text, bound)))
        counts = [len(self.filling.parameters[name].copies) for name in free]
        if self.nodes + prod(counts) > MOST_COPIED_NODES:
            raise _TooManyError
        for numbers in product(*(range(count) for count in counts)):
            yield bound | dict(zip(free, numbers, strict=True))

    def _items(self, item: Node, bound: Bound) -> Iterator[tuple[Node, bool]]:
        """An item once for each copy, and whether it is a copy."""
        for more in self._bindings(_own_texts(item), bound):
            yield self._node(item, more), len(more) > len(bound)

    def _entries(self, node: MapNode, bound: Bound) -> Iterator[tuple[Scalar, Node]]:
        made: dict[str, tuple[Scalar, Node]] = {}
        copied: dict[str, bool] = {}
        for key, value in node.entries:
            for more in self._bindings(iter((key.text,)), bound):
                name, is_copy = self.filling.filled(key, more), len(more) > len(bound)
                self._add(made, copied, (name, self._node(value, more)), is_copy=is_copy)
        yield from (entry for entry in made.values() if not _is_nothing(entry[1]))

    def _add(
        self, made: dict[str, tuple[Scalar, Node]], copied: dict[str, bool], entry: tuple[Scalar, Node], *, is_copy: bool
    ) -> None:
        """Add an entry; one that is written out changes the copy of its name."""
        key = entry[0]
        known = made.get(key.text)
        if known is None:
            made[key.text], copied[key.text] = entry, is_copy
        elif copied[key.text] == is_copy:
            self.filling.log.note(key.place, "each name once", f"{key.text!r} again, first in {known[0].place}")
        else:
            first, second = (known, entry) if copied[key.text] else (entry, known)
            made[key.text], copied[key.text] = (second[0], _changed(first[1], second[1])), False

    def _requirements(self, node: ListNode) -> ListNode:
        """The requirements; those written out change the copy of their id."""
        made = [part for item in node.items for part in self._items(item, {})]
        copies = ListNode(node.place, tuple(part for part, is_copy in made if is_copy))
        plain = ListNode(node.place, tuple(part for part, is_copy in made if not is_copy))
        in_order = {_id_of(part): number for number, (part, _) in reversed(list(enumerate(made)))}
        if len({_id_of(part) for part in copies.items}) < len(copies.items):
            return ListNode(node.place, tuple(part for part, _ in made))  # ids given twice are noted where they are read
        joined = joined_requirements(copies, plain)
        return ListNode(node.place, tuple(sorted(joined.items, key=lambda part: in_order.get(_id_of(part), 0))))


def _changed(copy: Node, own: Node) -> Node:
    """The copy, changed by what is written out for it."""
    if isinstance(own, Scalar) and own.is_null:
        return _NOTHING
    return joined_maps(copy, own) if isinstance(copy, MapNode) and isinstance(own, MapNode) else own


_NOTHING = Scalar(Place("", 1, 1), "", is_null=True)
"""In place of a copy that is not wanted: `chuck_b: null`."""


def _is_nothing(node: Node) -> bool:
    return node is _NOTHING


def _id_of(item: Node) -> str:
    identity = item.get("id") if isinstance(item, MapNode) else None
    return identity.text if isinstance(identity, Scalar) else str(item.place)


def _own_texts(item: Node) -> Iterator[str]:
    """The texts that decide whether an item of a list stands once for each copy: its own, not those of lists inside it."""
    if isinstance(item, Scalar):
        yield item.text
    elif isinstance(item, MapNode):
        yield from (value.text for _, value in item.entries if isinstance(value, Scalar))
