"""However a file is damaged, it is read or refused; no other exception may come."""

import re

from hypothesis import given, settings
from hypothesis import strategies as st
from reader.splicer_file import SPLICER

from seqcheck.errors import SequenceFileError
from seqcheck.reader.findings import static_findings
from seqcheck.reader.read import read_sequence_text

FREE = """\
  tape:
    type: free
    states:
      idle: {initial: true, facts: [is_idle], signals: [tape_ready], next: {taping: knife_fire}}
      taping: {next: {idle: {after: 1..2 s}, torn: {failure: tears}, held: {act: pulls}}}
      held: {next: {idle: {when: hood.is_closed, after: 1 s}}}
      torn: {}
circuits:
"""
WHOLE = SPLICER.replace("circuits:\n", FREE)
WORDS = [match.span() for match in re.finditer(r"[\w.#]+", WHOLE)]
REPLACEMENTS = [
    *sorted({WHOLE[start:end] for start, end in WORDS}),
    *("", "[]", "{}", "~", "[a]", "{a: b}", "0 ms", "-1", "'", "TON(a, T#1s)", "2..1 s", "true", "a.b.c.d"),
]


@given(st.lists(st.tuples(st.sampled_from(WORDS), st.sampled_from(REPLACEMENTS)), min_size=1, max_size=4))
@settings(max_examples=150, deadline=None)
def test_a_file_with_some_words_changed(changes: list[tuple[tuple[int, int], str]]) -> None:
    text = WHOLE
    for (start, end), replacement in sorted(changes, reverse=True):
        text = text[:start] + replacement + text[end:]
    try:
        sequence = read_sequence_text(text, "f")
    except SequenceFileError as error:
        assert all(problem.expected and problem.found for problem in error.problems)
    else:
        static_findings(sequence)


def test_the_file_that_is_damaged_is_good() -> None:
    assert read_sequence_text(WHOLE, "f").device("tape") is not None
