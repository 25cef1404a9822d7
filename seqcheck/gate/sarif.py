"""SARIF 2.1.0: findings with file, line and column, for code scanning.

Source: OASIS, Static Analysis Results Interchange Format (SARIF) Version 2.1.0. A result whose kind is `fail` has a level;
`ruleIndex` points at the rule with the same id; a column counts in the unit that the run names.
"""

from __future__ import annotations

import json
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from seqcheck.gate.change import MEANINGS
from seqcheck.gate.noted import Noted
from seqcheck.gate.result import KeptLine
from seqcheck.gate.run_text import run_lines

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
MEANINGS_BY_RULE = {kind.value: meaning for kind, meaning in MEANINGS.items()} | {
    "violated": "a run that breaks the requirement was found and replayed",
    "vacuous": "the requirement was never put to the test",
    "undecided": "the requirement could not be decided",
}

Json = dict[str, Any]


def sarif_text(noted: tuple[Noted, ...], version: str) -> str:
    """The whole log; `version` is that of this program."""
    rules = tuple(dict.fromkeys(part.rule for part in noted))
    driver: Json = {"name": "seqcheck", "rules": [_rule(rule) for rule in rules]}
    if version:
        driver["version"] = version
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "results": [_result(part, rules.index(part.rule)) for part in noted],
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, indent=2) + "\n"


def _rule(rule: str) -> Json:
    meaning = MEANINGS_BY_RULE.get(rule, "a finding about the file itself")
    return {"id": _id(rule), "shortDescription": {"text": meaning[0].upper() + meaning[1:] + "."}}


def _id(rule: str) -> str:
    return rule.replace(": ", "/").replace(" ", "-")


def _result(part: Noted, index: int) -> Json:
    result: Json = {
        "ruleId": _id(part.rule),
        "ruleIndex": index,
        "level": part.weight,
        "message": {"text": "\n".join((part.message, *run_lines(part.run)))},
        "locations": [{"physicalLocation": _place(part)}],
    }
    if part.run:
        result["codeFlows"] = [{"threadFlows": [{"locations": [_step(part, line) for line in part.run]}]}]
    return result


def _place(part: Noted) -> Json:
    place = part.place
    return {
        "artifactLocation": {"uri": _uri(place.file)},
        "region": {"startLine": place.line, "startColumn": place.column},
    }


def _step(part: Noted, line: KeptLine) -> Json:
    text = run_lines((line,))[0].strip()
    return {"location": {"physicalLocation": _place(part), "message": {"text": text}}}


def _uri(file: str) -> str:
    """A relative path as URI reference (RFC 3986): `/` between parts, everything else that is not plain escaped."""
    path = PurePath(file)
    return path.as_uri() if path.is_absolute() else quote(path.as_posix(), errors="surrogateescape")
