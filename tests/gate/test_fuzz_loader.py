"""Whatever stands in a file, the loader gives a sequence or problems with places, and soon.

Ten seconds in the suite; SEQCHECK_FUZZ_SECONDS makes it longer. Texts are real files with parts cut, doubled, swapped and
overwritten, trees of values under the names that the sections know, and plain bytes.
"""

import os
import re
import time
from collections.abc import Callable
from pathlib import Path

from gate.workshop import PRESS
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from seqcheck.errors import SequenceFileError
from seqcheck.language.document import decoded_text
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.reader.read import TOP_KEYS, read_sequence_text
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS

SECONDS = float(os.environ.get("SEQCHECK_FUZZ_SECONDS", "10"))
LONGEST_S = 5.0
"""Seconds for one file; a mutated file is no longer than twice the largest bundled one, which takes a tenth of a second."""

REPOSITORY = Path(__file__).resolve().parents[2]
FILES = [*[PRESS] * 8, *(path.read_text(encoding="utf-8") for path in sorted((REPOSITORY / "sequences").glob("*.yaml")))]
WORDS = sorted({word for text in FILES for word in re.findall(r"[A-Za-z_#.]+|[0-9.]+|[^\w\s]", text)})
SHORT = (
    "", "~", "null", "0", "-1", "1e999", "NaN", "inf ms", "0 ms", "99999999999999 h", "5..1 ms", "..", "%", "100 %", "a.b.c.d",
    "TRUE", "NOT", "a AND", "(", "T#", "T#1s", "x.T >= T#1s", "TON(a, T#1s)", "RISING(RISING(a))", "any one fault", "base",
    "\u00a0", "'", '"',
)  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """A real file with one to six parts changed."""
    text = draw(st.sampled_from(FILES))
    for _ in range(draw(st.integers(1, 6))):
        first = draw(st.integers(0, len(text)))
        last = min(len(text), first + draw(st.integers(0, 80)))
        other = draw(st.integers(0, len(text)))
        copied = st.just(text[other : other + 60])
        new = draw(st.one_of(st.sampled_from(WORDS), st.sampled_from(SHORT), st.just(""), st.text(max_size=8), copied))
        text = text[:first] + new + text[last:]
    return text


@st.composite
def swapped_words(draw: st.DrawFn) -> str:
    """A real file in which some words are others of the same files: still YAML, but with another meaning or none."""
    text = draw(st.sampled_from(FILES))
    parts = re.split(r"([A-Za-z_]+|\d+)", text)
    for _ in range(draw(st.integers(1, 8))):
        parts[draw(st.integers(0, len(parts) // 2 - 1)) * 2 + 1] = draw(st.sampled_from(WORDS))
    return "".join(parts)


NAMES = sorted(
    {
        *TOP_KEYS,
        *DEVICE_TYPES,
        *REQUIREMENT_KINDS,
        *(field.name for kind in DEVICE_TYPES.values() for field in kind.fields),
        *(field.name for kind in REQUIREMENT_KINDS.values() for field in kind.fields),
        "type", "id", "under", "given", "next", "do", "within", "alarm", "initial", "start", "severity", "period", "write",
    }
)  # fmt: skip


def flow(value: object) -> str:
    """The value in YAML's flow style, nothing quoted."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{name}: {flow(part)}" for name, part in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(part) for part in value) + "]"
    return str(value)


TREES = st.recursive(
    st.sampled_from([*SHORT[:22], *NAMES, "a", "b", "10 ms", "1..2 ms", "3 m"]),
    lambda below: st.lists(below, max_size=4) | st.dictionaries(st.sampled_from([*NAMES, "a", "b"]), below, max_size=5),
    max_leaves=25,
)
SECTIONS = st.dictionaries(st.sampled_from(TOP_KEYS), TREES, max_size=8).map(
    lambda data: "".join(f"{name}: {flow(part)}\n" for name, part in data.items())
)


def load(text: str) -> None:
    """What is wrong is told in problems that stand in the file; nothing else may be raised."""
    started_s = time.perf_counter()
    try:
        read_sequence_text(text, "fuzz.yaml", lambda base: (PRESS, base))
    except SequenceFileError as error:
        lines = len(re.split(r"\r\n|\r|\n", text)) + len(PRESS.splitlines())
        assert all(1 <= problem.place.line <= lines and problem.place.column >= 1 for problem in error.problems)
        assert str(error)
    assert time.perf_counter() - started_s < LONGEST_S


def load_bytes(content: bytes) -> None:
    """The same of bytes, which need not be text."""
    try:
        load(decoded_text(content, "fuzz.yaml"))
    except SequenceFileError:
        return


QUIET = settings(
    max_examples=150, deadline=None, database=None, suppress_health_check=list(HealthCheck), report_multiple_bugs=False
)


def turn(number: int, strategy: st.SearchStrategy[object], check: Callable[[object], None]) -> None:
    """One batch of drawn files, the same for the same number."""

    @seed(number)
    @QUIET
    @given(strategy)
    def once(drawn: object) -> None:
        check(drawn)

    once()


def test_the_loader_stands_whatever_it_is_given() -> None:
    ends_s = time.monotonic() + SECONDS
    turns = ((mutated(), load), (swapped_words(), load), (SECTIONS, load), (st.text(), load), (st.binary(), load_bytes))
    number = 0
    while time.monotonic() < ends_s:
        turn(number, *turns[number % len(turns)])
        number += 1
    print(f"{number * QUIET.max_examples} files")
    assert number > 0
