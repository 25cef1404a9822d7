"""What the YAML parser complains about, as a Problem in plain words."""

import re

import yaml

from seqcheck.errors import Place, Problem

_NOT_YAML = "well-formed YAML"
_WORDS_BY_YAML_PROBLEM = {
    "mapping values are not allowed here": (
        "one 'name: value' (a text that holds ': ' needs quotes)",
        "a second ':'",
    ),
    "could not find expected ':'": ("':' after the name", "none"),
}
_WORDS_BY_YAML_TOKEN = {
    "<block end>": "the next name or '- ' below the start of the one before",
    "'<document start>'": "a line that starts below the first one",
    "'<stream end>'": "the end of the file",
    "'<block mapping start>'": "a name with ':'",
    "'<block sequence start>'": "'- '",
    "'<scalar>'": "a text",
    "'?'": "a name with ':'",
}


def yaml_problem(error: yaml.YAMLError, file: str) -> Problem:
    """Return the problem for an error of the parser in Python; `file` is the name that its place carries."""
    mark = getattr(error, "problem_mark", None)
    place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file, 1, 1)
    reason = str(getattr(error, "problem", None) or error)
    worded = re.fullmatch(r"expected (.+?),? but (?:got|found) (.+)", reason)
    if worded is not None:
        expected, found = (_WORDS_BY_YAML_TOKEN.get(words, words) for words in worded.groups())
    else:
        expected, found = _WORDS_BY_YAML_PROBLEM.get(reason, (_NOT_YAML, reason.removeprefix("found ")))
    return Problem(place=place, expected=expected, found=found + _context(error))


def _context(error: yaml.YAMLError) -> str:
    """Return where the parser was, if that began in an earlier line than the one with the problem."""
    began = getattr(error, "context_mark", None)
    noticed = getattr(error, "problem_mark", None)
    if began is None or noticed is None or began.line == noticed.line:
        return ""
    return f" ({getattr(error, 'context', 'while reading')} from line {began.line + 1})"
