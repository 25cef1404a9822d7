"""The words of `under`: which failures a requirement must survive."""

from __future__ import annotations

import re

from seqcheck.language.document import Node, Scalar
from seqcheck.language.sequence import Hypothesis
from seqcheck.reader.names import Names
from seqcheck.reader.plain_value import read_text, split_names
from seqcheck.reader.problem_log import ProblemLog

PLAIN_HYPOTHESES = {
    "no fault": Hypothesis(),
    "any one fault": Hypothesis(count=1),
    "any two faults": Hypothesis(count=2),
    "controller fault": Hypothesis(controller=True),
}
"""Hypotheses without names of failures."""

NAMED_PATTERN = r"faults? (?P<names>\S.*)"
"""`fault knife.jams` or `faults knife.jams, hood.lock_fails`."""

_EXPECTED = f"{', '.join(repr(text) for text in PLAIN_HYPOTHESES)} or 'fault device.failure'"


def read_hypothesis(node: Node | None, names: Names, log: ProblemLog) -> Hypothesis:
    """Return what `under` says; no fault where the file or the words say nothing that is known."""
    text = None if node is None else read_text(node, _EXPECTED, log)
    if text is None:
        return Hypothesis()
    assert isinstance(node, Scalar), "read_text takes nothing else"
    plain = PLAIN_HYPOTHESES.get(text)
    if plain is not None:
        return plain
    match = re.fullmatch(NAMED_PATTERN, text)
    if match is None:
        # Never suggest the weaker one: whoever meant `any one fault` must not end up with none.
        log.unknown(node.place, _EXPECTED, text, [words for words in PLAIN_HYPOTHESES if words != "no fault"])
        return Hypothesis()
    listed = split_names(node.part(match.start("names"), match["names"]))
    return _named(listed, names, log)


def _named(listed: tuple[Scalar, ...], names: Names, log: ProblemLog) -> Hypothesis:
    seen: list[str] = []
    for name in listed:
        if name.text not in names.failures and not names.is_doubtful(name.text):
            log.unknown(name.place, "a failure of a device", name.text, names.failures)
        elif name.text in seen:
            log.note(name.place, "each failure once", repr(name.text))
        seen.append(name.text)
    return Hypothesis(count=len(seen), named=tuple(seen))
