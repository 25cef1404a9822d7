"""Bounded YAML in which every value knows its place."""

from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from seqcheck.errors import Place, SequenceFileError
from seqcheck.language import document
from seqcheck.language.document import (
    DEEPEST_NESTING,
    LONGEST_DOCUMENT_BYTES,
    MOST_NODES,
    ListNode,
    MapNode,
    Scalar,
    load_document,
    read_document,
)

LOADERS = [
    yaml.SafeLoader,
    pytest.param(
        getattr(yaml, "CSafeLoader", None),
        marks=pytest.mark.skipif(
            not yaml.__with_libyaml__, reason="PyYAML was built without its parser in C"
        ),
    ),
]

# Each sentence with the smallest text that earns it.
SENTENCES = [
    ("f:1:1: expected names with values (sequence: ..., devices: ...), found an empty file", ""),
    ("f:1:1: expected names with values (sequence: ..., devices: ...), found an empty file", "# only this\n"),
    ("f:1:1: expected names with values (sequence: ..., devices: ...), found the text 'x'", "x"),
    ("f:1:1: expected names with values (sequence: ..., devices: ...), found nothing", "---\n"),
    ("f:1:1: expected names with values (sequence: ..., devices: ...), found a list", "[]"),
    ("f:2:1: expected one YAML document, found the start of a second one", "a: b\n--- {}"),
    ("f:2:1: expected each name once, found 'a' again, first in line 1", "a:\na:"),
    ("f:1:6: expected each name once, found 'a' again, first in line 1", "{a,  'a'}"),
    ("f:1:3: expected a name before ':', found a list", "? []"),
    ("f:1:3: expected a name before ':', found a map", "? {}"),
    ("f:1:3: expected a name before ':', found nothing", "? ''"),
    ("f:1:4: expected a value without anchor, found '&b'", "a: &b"),
    ("f:1:4: expected a value written out (no YAML aliases), found '*b'", "a: *b"),
    ("f:1:4: expected a value without tag, found the tag '!b'", "a: !b"),
    ("f:1:4: expected a value without tag, found the tag 'tag:yaml.org,2002:str'", "a: !!str"),
    ("f:1:1: expected a name or '---', found a YAML directive '%'", "%YAML 1.1\n---\na: b"),
    ("f:1:4: expected spaces and printable characters, found a tab", "a: \tb"),
    ("f:1:2: expected spaces and printable characters, found the character U+0000", "a\0"),
    ("f:2:2: expected spaces and printable characters, found the character U+2028", "a:\n \u2028"),
    ("f:1:1: expected spaces and printable characters, found the character U+D800", "\ud800"),
    (
        "f:1:5: expected one 'name: value' (a text that holds ': ' needs quotes), found a second ':'",
        "a: b: c",
    ),
    ("f:1:3: expected ',' or '}', found the end of the file", "{a"),
    ("f:1:6: expected ',' or ']', found '}'", "a: [b}"),
    (
        (
            "f:2:1: expected the next name or '- ' below the start of the one before, found a name with ':' "
            "(while parsing a block collection from line 1)"
        ),
        "- a\nb: c",
    ),
    ("f:2:1: expected a line that starts below the first one, found a name with ':'", " a: b\nc: d"),
    ("f:1:4: expected well-formed YAML, found character '@' that cannot start any token", "a: @b"),
    (
        (
            "f:2:1: expected well-formed YAML, found unexpected end of stream "
            "(while scanning a quoted scalar from line 1)"
        ),
        "a: 'b\n",
    ),
    (
        ("f:3:1: expected ':' after the name, found none (while scanning a simple key from line 2)"),
        "a: b\nc\nd: e",
    ),
]


@pytest.mark.parametrize("loader", LOADERS)
@pytest.mark.parametrize(("sentence", "text"), SENTENCES)
def test_each_mistake_earns_its_sentence(
    sentence: str, text: str, loader: type[yaml.SafeLoader], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(document, "_Loader", loader)
    assert _problems(text) == [sentence]


@pytest.mark.parametrize("loader", LOADERS)
def test_every_value_has_its_text_and_its_place(
    loader: type[yaml.SafeLoader], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(document, "_Loader", loader)
    text = "# top\nscan: {period: 4..10 ms, é: 'on'}\nlist:\n  - 012\n  -\n  - yes # no\nnone:\n"
    assert read_document(text, "f") == MapNode(
        Place("f", 2, 1),
        (
            (
                Scalar(Place("f", 2, 1), "scan"),
                MapNode(
                    Place("f", 2, 7),
                    (
                        (Scalar(Place("f", 2, 8), "period"), Scalar(Place("f", 2, 16), "4..10 ms")),
                        (Scalar(Place("f", 2, 26), "é"), Scalar(Place("f", 2, 29), "on", is_quoted=True)),
                    ),
                ),
            ),
            (
                Scalar(Place("f", 3, 1), "list"),
                ListNode(
                    Place("f", 4, 3),
                    (
                        Scalar(Place("f", 4, 5), "012"),
                        Scalar(Place("f", 5, 4), "", is_null=True),
                        Scalar(Place("f", 6, 5), "yes"),
                    ),
                ),
            ),
            (Scalar(Place("f", 7, 1), "none"), Scalar(Place("f", 7, 1), "", is_null=True)),
        ),
    )


@pytest.mark.parametrize(
    ("written", "is_null"),
    [("~", True), ("null", True), ("NULL", True), ("", True), ("'~'", False), ('""', False), ("nil", False)],
)
def test_only_what_yaml_calls_null_is_null(written: str, is_null: bool) -> None:
    value = read_document(f"a: {written}", "f").get("a")
    assert isinstance(value, Scalar)
    assert value.is_null is is_null


def test_the_text_of_a_quoted_value_starts_behind_the_quote() -> None:
    tree = read_document("a: 'b'\nc: d", "f")
    places = [value.text_place for _, value in tree.entries if isinstance(value, Scalar)]
    assert places == [Place("f", 1, 5), Place("f", 2, 4)]


def test_a_map_gives_its_names_in_order_and_its_values_by_name() -> None:
    tree = read_document("b: 1\na: 2", "f")
    assert tree.names() == ("b", "a")
    assert tree.get("a") == Scalar(Place("f", 2, 4), "2")
    assert tree.get("c") is None


def test_all_mistakes_of_a_file_are_told_at_once() -> None:
    assert _problems("a: &x 1\nb: *x\na: !t\n? []\n") == [
        "f:1:4: expected a value without anchor, found '&x'",
        "f:2:4: expected a value written out (no YAML aliases), found '*x'",
        "f:3:1: expected each name once, found 'a' again, first in line 1",
        "f:3:4: expected a value without tag, found the tag '!t'",
        "f:4:3: expected a name before ':', found a list",
    ]


def test_mistakes_before_a_syntax_error_are_told_too() -> None:
    assert _problems("a: &x 1\nb: ]") == [
        "f:1:4: expected a value without anchor, found '&x'",
        "f:2:4: expected the node content, found ']'",
    ]


def test_a_long_name_is_cut_in_the_message() -> None:
    name = "x" * 100
    assert _problems(f"{name}:\n{name}:") == [
        f"f:2:1: expected each name once, found '{'x' * 60}'... again, first in line 1"
    ]


def test_the_deepest_nesting_is_read_and_one_level_more_is_not() -> None:
    depth = DEEPEST_NESTING - 2  # the map and its value take two
    read_document("a: " + "[" * depth + "b" + "]" * depth, "f")
    assert _problems("a: " + "[" * (depth + 1) + "b" + "]" * (depth + 1)) == [
        f"f:1:{3 + depth + 2}: expected at most 40 levels of lists and maps, found more"
    ]


def test_a_pit_of_brackets_is_left_at_the_bound() -> None:
    assert len(_problems("[" * 100_000)) == 1


def test_the_most_nodes_are_read_and_one_more_is_not() -> None:
    items = MOST_NODES - 3  # the map, its name and the list
    read_document("a: [" + "b," * items + "]", "f")
    assert _problems("a: [" + "b," * (items + 1) + "]") == [
        f"f:1:{5 + 2 * items}: expected at most 100000 values in a file, found more"
    ]


def test_the_longest_text_is_read_and_one_byte_more_is_not() -> None:
    text = "a: b #" + "é" * ((LONGEST_DOCUMENT_BYTES - 6) // 2)
    assert len(text.encode()) == LONGEST_DOCUMENT_BYTES
    read_document(text, "f")
    assert _problems(text + "x") == ["f:1:1: expected at most 1 MiB (1048576 bytes) of text, found more"]


def test_a_file_is_read_with_its_path_in_every_place(tmp_path: Path) -> None:
    path = tmp_path / "line.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: b\r\nc: d\r\n")  # a byte order mark and the line ends of another system
    assert load_document(path).entries[1][1] == Scalar(Place(str(path), 2, 4), "d")


def test_a_missing_file_is_a_problem(tmp_path: Path) -> None:
    path = tmp_path / "none.yaml"
    assert _load_problems(path) == [f"{path}:1:1: expected a readable file, found No such file or directory"]


def test_a_folder_is_a_problem(tmp_path: Path) -> None:
    assert _load_problems(tmp_path) == [f"{tmp_path}:1:1: expected a readable file, found Is a directory"]


def test_a_path_with_a_zero_byte_is_a_problem() -> None:
    assert len(_load_problems(Path("a\0b"))) == 1


def test_bytes_that_are_no_utf8_are_a_problem_at_their_place(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes(b"a: b\nc\xc3\xa9: \xe9\n")
    assert _load_problems(path) == [f"{path}:2:5: expected text in UTF-8, found the byte 0xE9"]


def test_a_file_beyond_the_bound_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.yaml"
    path.write_bytes(b"a: b #" + b"x" * LONGEST_DOCUMENT_BYTES)
    expected = f"{path}:1:1: expected at most 1 MiB (1048576 bytes) of text, found more"
    assert _load_problems(path) == [expected]


LINES = st.lists(
    st.text(alphabet="abé😀:-,[]{}'\"#&*!|>?%~ ", max_size=14).map(lambda line: line.rstrip()), max_size=5
)


@pytest.mark.skipif(not yaml.__with_libyaml__, reason="PyYAML was built without its parser in C")
@settings(max_examples=300)
@given(LINES.map("\n".join))
def test_both_parsers_place_every_value_alike(text: str) -> None:
    in_python, in_c = (_outcome(text, loader) for loader in (yaml.SafeLoader, yaml.CSafeLoader))
    if isinstance(in_python, MapNode) and isinstance(in_c, MapNode):
        assert in_python == in_c


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_in_order(text: str) -> None:
    _outcome(text, yaml.SafeLoader)


def _outcome(text: str, loader: type) -> MapNode | SequenceFileError:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(document, "_Loader", loader)
        try:
            return read_document(text, "f")
        except SequenceFileError as error:
            return error


def _problems(text: str) -> list[str]:
    with pytest.raises(SequenceFileError) as refusal:
        read_document(text, "f")
    return [problem.text() for problem in refusal.value.problems]


def _load_problems(path: Path) -> list[str]:
    with pytest.raises(SequenceFileError) as refusal:
        load_document(path)
    return [problem.text() for problem in refusal.value.problems]
