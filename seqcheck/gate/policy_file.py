"""Reads a policy: the table `[tool.seqcheck.gate]` of a pyproject.toml, or the whole of a file of its own.

TOML's own reader keeps no places, so a problem's line is the first one that mentions its key; good enough to find it.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any

from seqcheck.errors import Place, Problem, SequenceFileError, nearest_name
from seqcheck.gate.change import ChangeKind
from seqcheck.gate.changes import Thresholds
from seqcheck.gate.policy import BLOCKING, WARNING, Policy, Waiver

LARGEST_BYTES = 1_048_576
KEYS = ("files", "block", "warn", "margin-lost", "slower", "waivers")
WAIVER_KEYS = ("requirement", "reason", "approver", "expires", "changes", "file")
NEEDED_KEYS = WAIVER_KEYS[:4]
KINDS = {kind.value: kind for kind in ChangeKind}
_PERCENT = re.compile(r"\s*(\d{1,4}(?:\.\d{1,3})?)\s*%\s*")
_TOML_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


def read_policy(path: Path) -> Policy:
    """The policy in the file at `path`; of a pyproject.toml, its table `tool.seqcheck.gate`, which may be missing.

    Raises SequenceFileError with every problem found.
    """
    start = Place(str(path), 1, 1)
    try:
        with path.open("rb") as file:
            text = file.read(LARGEST_BYTES).decode("utf-8")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise SequenceFileError([Problem(place=start, expected="a readable policy in UTF-8", found=reason)]) from None
    return policy_of(text, str(path), is_table=path.name == "pyproject.toml")


def policy_of(text: str, file: str, *, is_table: bool) -> Policy:
    """The policy that a TOML text says; `is_table`: in its table `tool.seqcheck.gate`. Raises SequenceFileError."""
    try:
        data: Any = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise SequenceFileError([_toml_problem(str(error), file)]) from None
    for name in ("tool", "seqcheck", "gate") if is_table else ():
        data = data.get(name, {}) if isinstance(data, dict) else {}
    reading = _Reading(text, file)
    policy = reading.policy(data)
    if reading.problems:
        raise SequenceFileError(reading.problems)
    return policy


def _toml_problem(words: str, file: str) -> Problem:
    found = _TOML_PLACE.search(words)
    line, column = (int(found[1] or 1), int(found[2] or 1)) if found else (1, 1)
    return Problem(place=Place(file, line, column), expected="TOML", found=_TOML_PLACE.sub("", words))


@dataclass(slots=True)
class _Reading:
    """Reads one policy. Mutable: it gathers problems."""

    text: str
    file: str
    problems: list[Problem] = field(default_factory=list)

    def policy(self, data: object) -> Policy:
        """The policy of a table; what is wrong with it is in `problems`."""
        if not isinstance(data, dict):
            self._note("gate", "a table", data)
            return Policy()
        self._check_keys(data, KEYS, "a key of the gate's policy")
        usual = Thresholds()
        return Policy(
            block=self._kinds(data, "block", BLOCKING),
            warn=self._kinds(data, "warn", WARNING),
            thresholds=Thresholds(
                margin_lost_ratio=self._ratio(data, "margin-lost", usual.margin_lost_ratio),
                slower_ratio=self._ratio(data, "slower", usual.slower_ratio),
            ),
            waivers=tuple(self._waivers(data.get("waivers", []))),
            files=self._texts(data, "files"),
        )

    def _check_keys(self, data: dict[str, object], known: Iterable[str], expected: str) -> None:
        for key in data:
            if key not in known:
                problem = Problem(
                    place=self._place(key), expected=expected, found=repr(key), nearest=nearest_name(key, known)
                )
                self.problems.append(problem)

    def _kinds(self, data: dict[str, Any], key: str, usual: frozenset[ChangeKind]) -> frozenset[ChangeKind]:
        if key not in data:
            return usual
        names = self._texts(data, key)
        for name in names:
            if name not in KINDS:
                nearest = nearest_name(name, KINDS)
                problem = Problem(place=self._place(name), expected="a kind of change", found=repr(name), nearest=nearest)
                self.problems.append(problem)
        return frozenset(KINDS[name] for name in names if name in KINDS)

    def _ratio(self, data: dict[str, Any], key: str, usual: float) -> float:
        if key not in data:
            return usual
        found = _PERCENT.fullmatch(data[key]) if isinstance(data[key], str) else None
        if found is None:
            self._note(key, 'a share such as "10 %"', data[key])
            return usual
        return float(found[1]) / 100

    def _texts(self, data: dict[str, Any], key: str) -> tuple[str, ...]:
        value = data.get(key, [])
        if not isinstance(value, list) or not all(isinstance(part, str) for part in value):
            self._note(key, "a list of texts", value)
            return ()
        return tuple(value)

    def _waivers(self, value: object) -> Iterable[Waiver]:
        if not isinstance(value, list):
            self._note("waivers", "a list of tables ([[...waivers]])", value)
            return
        for number, item in enumerate(value):
            waiver = self._waiver(item, number)
            if waiver is not None:
                yield waiver

    def _waiver(self, item: object, number: int) -> Waiver | None:
        if not isinstance(item, dict):
            self._note("waivers", "a table", item)
            return None
        self._check_keys(item, WAIVER_KEYS, "a key of a waiver")
        missing = [key for key in NEEDED_KEYS if item.get(key) in (None, "")]
        expires = item.get("expires")
        if missing:
            place = self._waiver_place(number)
            self.problems.append(Problem(place=place, expected=f"a waiver with {', '.join(missing)}", found="none"))
            return None
        texts = {key: self._text(item, key) for key in ("requirement", "reason", "approver", "file")}
        day = self._day(expires)
        kinds = self._kinds(item, "changes", frozenset())
        return None if day is None else Waiver(expires=day, changes=kinds, place=self._waiver_place(number), **texts)

    def _text(self, item: dict[str, Any], key: str) -> str:
        value = item.get(key, "")
        if not isinstance(value, str):
            self._note(key, "a text", value)
            return ""
        return value

    def _day(self, value: object) -> date | None:
        if isinstance(value, date) and not isinstance(value, datetime):
            return value
        if isinstance(value, str):
            with suppress(ValueError):
                return date.fromisoformat(value)
        self._note("expires", "a day such as 2030-12-31", value)
        return None

    def _note(self, key: str, expected: str, found: object) -> None:
        self.problems.append(Problem(place=self._place(key), expected=expected, found=repr(found)[:60]))

    def _place(self, word: str) -> Place:
        """The first place at which the word stands; the first line if it does not."""
        for number, line in enumerate(self.text.splitlines(), start=1):
            if word in line:
                return Place(self.file, number, line.index(word) + 1)
        return Place(self.file, 1, 1)

    def _waiver_place(self, number: int) -> Place:
        lines = [line for line, text in enumerate(self.text.splitlines(), start=1) if re.match(r"\s*\[\[.*waivers\s*\]\]", text)]
        return Place(self.file, lines[number], 1) if number < len(lines) else self._place("waivers")
