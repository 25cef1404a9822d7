"""A sequence file as a tree in which every value knows its place: YAML, read safely and within bounds.

The tree is built from the events of the YAML parser, not by its own composer: events come one at a time,
so a bound stops a hostile file before it costs memory. Every scalar stays the text that was written: `on`,
`012` and `1e3` mean nothing yet. Anchors, aliases and tags are refused; a sequence file repeats nothing
out of sight and makes no objects.
"""

import re
from collections.abc import Iterator
from dataclasses import KW_ONLY, dataclass
from pathlib import Path

import yaml

from seqcheck.errors import Place, Problem, SequenceFileError
from seqcheck.language.origin import AS_WRITTEN, Origin
from seqcheck.language.yaml_problem import yaml_problem

LONGEST_DOCUMENT_BYTES = 1_048_576
"""Bytes of UTF-8 (1 MiB). A real file is a few KiB; a larger one is not read."""

DEEPEST_NESTING = 40
"""Levels of lists and maps. A real file needs about 8; more would only serve to exhaust the stack."""

MOST_NODES = 100_000
"""Scalars, lists and maps in one file, 50 times the largest expected; bounds the memory of the tree."""

LONGEST_SHOWN = 60
"""Characters of the file's text that a message repeats; the place leads to the rest."""

# Other line breaks of Unicode are refused: editors and YAML count lines differently there. So are tabs and
# directives, on which YAML parsers disagree.
_REFUSED_CHARACTER = re.compile(
    r"[^\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_DIRECTIVE = re.compile(r"(?: *(?:#[^\r\n]*)?[\r\n])*%")
_ROOT = "names with values (sequence: ..., devices: ...)"
_NULL_TEXTS = ("", "~", "null", "Null", "NULL")  # YAML 1.2 core schema, 10.3.2
_LoaderClass = type[yaml.SafeLoader] | type[yaml.CSafeLoader]
_Loader: _LoaderClass = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Scalar:
    """One value or name, as written.

    `text` is without quotes, comments and folding. `is_null`: nothing, `~` or `null` was written, not in
    quotes; where nothing is written, `place` is that of the name whose value is missing. `origin`: for a text
    that was filled in, where in the file its characters come from.
    """

    place: Place
    text: str
    _: KW_ONLY
    is_null: bool = False
    is_quoted: bool = False
    origin: Origin = AS_WRITTEN

    @property
    def text_place(self) -> Place:
        """Where the text itself starts: after the opening quote if there is one."""
        return self.place.after(self.is_quoted)

    def part(self, start: int, text: str) -> "Scalar":
        """A part of the text; its column is exact where the text stands on one line without escapes."""
        place = self.text_place.after(self.origin.column(start))
        return Scalar(place, text, origin=self.origin.after(start))


@dataclass(frozen=True, slots=True)
class ListNode:
    """A list of values."""

    place: Place
    items: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class MapNode:
    """Names with their values, in the order of the file; no name occurs twice."""

    place: Place
    entries: tuple[tuple[Scalar, "Node"], ...]

    def get(self, name: str) -> "Node | None":
        """Return the value of a name, None if the map does not have it."""
        return next((value for key, value in self.entries if key.text == name), None)

    def names(self) -> tuple[str, ...]:
        """Return all names in the order of the file."""
        return tuple(key.text for key, _ in self.entries)


Node = Scalar | ListNode | MapNode


def load_document(path: Path) -> MapNode:
    """Read and parse the file at `path`.

    Raises SequenceFileError if the file cannot be read, is too large or not UTF-8, and as `read_document`.
    """
    start = Place(str(path), 1, 1)
    try:
        with path.open("rb") as file:
            content = file.read(LONGEST_DOCUMENT_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a path with a zero byte
        reason = getattr(error, "strerror", None) or str(error)
        raise _failure(start, "a readable file", reason) from None
    return read_document(decoded_text(content, str(path)), str(path))


def decoded_text(content: bytes, file: str) -> str:
    """The text of a file's `content`, which must be UTF-8 of at most 1 MiB.

    Raises SequenceFileError if it is not.
    """
    _check_size(len(content), Place(file, 1, 1))
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8")
        found = f"the byte 0x{content[error.start]:02X}"
        raise _failure(_place_after(before, file), "text in UTF-8", found) from None


def read_document(text: str, file: str) -> MapNode:
    """Parse the YAML `text`; `file` is the name that places carry.

    Raises SequenceFileError with every problem found: text that is not YAML, more than one document or none,
    something else than a map at the top, anchors, aliases, tags, names given twice, a bound exceeded.
    """
    text = text.removeprefix("\ufeff")
    start = Place(file, 1, 1)
    _check_size(len(text.encode("utf-8", "surrogatepass")), start)
    _check_characters(text, file)
    try:
        return _TreeBuilder(text, file, _Loader).document()
    except yaml.YAMLError:
        # The parsers in C and in Python word errors differently; the one that is always there decides.
        return _read_in_python(text, file)


def _read_in_python(text: str, file: str) -> MapNode:
    builder = _TreeBuilder(text, file, yaml.SafeLoader)
    try:
        return builder.document()
    except yaml.YAMLError as error:
        raise SequenceFileError([*builder.problems, yaml_problem(error, file)]) from None


def _failure(place: Place, expected: str, found: str) -> SequenceFileError:
    return SequenceFileError([Problem(place=place, expected=expected, found=found)])


def _check_size(size_bytes: int, start: Place) -> None:
    if size_bytes > LONGEST_DOCUMENT_BYTES:
        raise _failure(start, "at most 1 MiB (1048576 bytes) of text", "more")


def _check_characters(text: str, file: str) -> None:
    refused = _REFUSED_CHARACTER.search(text)
    if refused is not None:
        found = "a tab" if refused[0] == "\t" else f"the character U+{ord(refused[0]):04X}"
        raise _failure(_place_after(text[: refused.start()], file), "spaces and printable characters", found)
    directive = _DIRECTIVE.match(text)
    if directive is not None:
        raise _failure(_place_after(directive[0][:-1], file), "a name or '---'", "a YAML directive '%'")


def _place_after(before: str, file: str) -> Place:
    """Return the place of the character that follows `before`."""
    lines = re.split(r"\r\n|\r|\n", before.removeprefix("\ufeff"))
    return Place(file, len(lines), len(lines[-1]) + 1)


class _TreeBuilder:
    """Turns the parser's events into nodes; owned by one call of `read_document`.

    Changes while it runs: the position in the events, the problems found, the count of nodes. A mistake that
    leaves the structure clear is noted and passed over; one that does not ends the reading.
    """

    def __init__(self, text: str, file: str, loader: _LoaderClass) -> None:
        self._file = file
        self._events: Iterator[yaml.Event] = iter(yaml.parse(text, loader))
        self.problems: list[Problem] = []
        self._nodes = 0

    def document(self) -> MapNode:
        """Return the one document of the text; what is no YAML raises the parser's own error."""
        root = self._only_document()
        if self.problems:
            raise SequenceFileError(self.problems)
        assert isinstance(root, MapNode), "every other root has been noted as a problem"
        return root

    def _only_document(self) -> Node | None:
        start = Place(self._file, 1, 1)
        next(self._events)  # start of stream
        if not isinstance(next(self._events), yaml.DocumentStartEvent):
            self._note(start, _ROOT, "an empty file")
            return None
        root = self._node(next(self._events), depth=1, missing_at=start)
        next(self._events)  # end of document
        following = next(self._events)
        if not isinstance(root, MapNode):
            self._note(root.place, _ROOT, _kind(root))
        if isinstance(following, yaml.DocumentStartEvent):
            self._stop(self._place(following), "one YAML document", "the start of a second one")
        return root

    def _node(self, event: yaml.Event, depth: int, missing_at: Place | None) -> Node:
        """Return the node that starts at `event`; `missing_at` is where a value not written would belong."""
        place = self._place(event)
        self._check_bounds(place, depth)
        self._refuse_references(event, place)
        if isinstance(event, yaml.SequenceStartEvent):
            return ListNode(place, self._items(depth))
        if isinstance(event, yaml.MappingStartEvent):
            return MapNode(place, self._entries(depth))
        if isinstance(event, yaml.ScalarEvent):
            return _scalar(event, place, missing_at)
        return Scalar(place, "", is_null=True)  # an alias, noted as a problem above

    def _items(self, depth: int) -> tuple[Node, ...]:
        items = []
        while not isinstance(event := next(self._events), yaml.SequenceEndEvent):
            items.append(self._node(event, depth + 1, missing_at=None))
        return tuple(items)

    def _entries(self, depth: int) -> tuple[tuple[Scalar, Node], ...]:
        entries: dict[str, tuple[Scalar, Node]] = {}
        while not isinstance(event := next(self._events), yaml.MappingEndEvent):
            key = self._node(event, depth + 1, missing_at=None)
            value = self._node(next(self._events), depth + 1, missing_at=key.place)
            if not isinstance(key, Scalar) or key.text == "":
                self._note(key.place, "a name before ':'", _kind(key))
            elif key.text in entries:
                first = entries[key.text][0].place
                found = f"{_shown(key.text)} again, first in line {first.line}"
                self._note(key.place, "each name once", found)
            else:
                entries[key.text] = (key, value)
        return tuple(entries.values())

    def _check_bounds(self, place: Place, depth: int) -> None:
        self._nodes += 1
        if self._nodes > MOST_NODES:
            self._stop(place, f"at most {MOST_NODES} values in a file", "more")
        if depth > DEEPEST_NESTING:
            self._stop(place, f"at most {DEEPEST_NESTING} levels of lists and maps", "more")

    def _refuse_references(self, event: yaml.Event, place: Place) -> None:
        if isinstance(event, yaml.AliasEvent):
            self._note(place, "a value written out (no YAML aliases)", _shown(f"*{event.anchor}"))
            return
        assert isinstance(event, yaml.NodeEvent)
        if event.anchor is not None:
            self._note(place, "a value without anchor", _shown(f"&{event.anchor}"))
        tag: str | None = getattr(event, "tag", None)
        if tag is not None:
            self._note(place, "a value without tag", f"the tag {_shown(tag)}")

    def _place(self, event: yaml.Event) -> Place:
        assert event.start_mark is not None, "the parser marks every event"
        return Place(self._file, event.start_mark.line + 1, event.start_mark.column + 1)

    def _note(self, place: Place, expected: str, found: str) -> None:
        self.problems.append(Problem(place=place, expected=expected, found=found))

    def _stop(self, place: Place, expected: str, found: str) -> None:
        self._note(place, expected, found)
        raise SequenceFileError(self.problems)


def _scalar(event: yaml.ScalarEvent, place: Place, missing_at: Place | None) -> Scalar:
    is_plain = not event.style
    if is_plain and event.value == "":
        # The two YAML parsers disagree on where a value that is not there stands; the name is a fixed place.
        return Scalar(missing_at or place, "", is_null=True)
    is_null = is_plain and event.value in _NULL_TEXTS
    return Scalar(place, event.value, is_null=is_null, is_quoted=event.style in ("'", '"'))


def _kind(node: Node) -> str:
    if isinstance(node, Scalar):
        return f"the text {_shown(node.text)}" if node.text else "nothing"
    return "a list" if isinstance(node, ListNode) else "a map"


def _shown(text: str) -> str:
    """Return the text in quotes, cut where it would swamp the message."""
    return repr(text) if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]!r}..."
