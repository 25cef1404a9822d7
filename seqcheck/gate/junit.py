"""JUnit XML: a suite for each file, a case for each requirement.

Source: the schema junit-10.xsd that build servers publish: `name`, `tests`, `failures`, `errors` of a suite are required. A case
has neither `file` nor `line`, so the place stands in the text of a failure.
"""

from __future__ import annotations

import re
from itertools import groupby
from xml.etree import ElementTree

from seqcheck.gate.noted import Case, Noted
from seqcheck.gate.run_text import run_lines

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""XML 1.0, production 2: what no document may contain, not even escaped."""


def junit_text(cases: tuple[Case, ...]) -> str:
    """The whole document. An unusable file is an error, a warning is told in `system-out`, all else is a failure."""
    suites = [(file, tuple(group)) for file, group in groupby(cases, key=lambda case: case.file)]
    root = ElementTree.Element("testsuites", _counts(cases))
    for file, own in suites:
        suite = ElementTree.SubElement(root, "testsuite", {"name": _clean(file), **_counts(own)})
        for case in own:
            _add_case(suite, case)
    ElementTree.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(root, encoding="unicode") + "\n"


def _counts(cases: tuple[Case, ...]) -> dict[str, str]:
    kinds = [_kind(case) for case in cases]
    return {"tests": str(len(kinds)), "failures": str(kinds.count("failure")), "errors": str(kinds.count("error"))}


def _kind(case: Case) -> str:
    if any(part.rule == "unreadable" for part in case.noted):
        return "error"
    return "failure" if _broken(case) else ""


def _broken(case: Case) -> tuple[Noted, ...]:
    """An undecided requirement is no pass, so it counts although it only warns where a gate lets it through."""
    return tuple(part for part in case.noted if part.weight == "error" or part.rule == "undecided")


def _add_case(suite: ElementTree.Element, case: Case) -> None:
    element = ElementTree.SubElement(suite, "testcase", {"name": _clean(case.name), "classname": _clean(case.file)})
    broken = _broken(case)
    if broken:
        attributes = {"message": _clean(broken[0].message), "type": _clean(broken[0].rule)}
        failure = ElementTree.SubElement(element, _kind(case), attributes)
        failure.text = _clean("\n".join(line for part in broken for line in _lines(part)))
    others = [part for part in case.noted if part not in broken]
    if others:
        ElementTree.SubElement(element, "system-out").text = _clean("\n".join(line for part in others for line in _lines(part)))


def _lines(part: Noted) -> tuple[str, ...]:
    return (f"{part.place}: {part.message}", *run_lines(part.run))


def _clean(text: str) -> str:
    return _NOT_XML.sub("?", text)
