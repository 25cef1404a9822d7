"""The words of `given`: what the operator and the surroundings are supposed not to do.

given: hood stays closed; no operator act but request, reset
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from seqcheck.language.document import Node, Scalar
from seqcheck.language.sequence import Given
from seqcheck.reader.declarations import operator_acts
from seqcheck.reader.names import NameKind, Names
from seqcheck.reader.plain_value import read_items, read_text, split_names
from seqcheck.reader.problem_log import ProblemLog

ANYTHING = "anything"
"""No narrowing: the operator may do anything at any time."""

STAYS_PATTERN = r"(?P<device>\w+) stays (?P<word>\w+)"
"""`hood stays closed`: the device does not act, and is_closed from the start."""

NO_ACT_PATTERN = r"no operator act(?: but (?P<devices>.+))?"
"""`no operator act`, or only the acts of the devices named."""

_EXPECTED = "'anything', 'hood stays closed' or 'no operator act but request, reset'"


@dataclass(slots=True)
class _Narrowing:
    """What the phrases of one `given` have said so far; owned by one call of `read_given`."""

    allowed: tuple[str, ...] | None = None
    still: list[tuple[str, str]] = field(default_factory=list)


def read_given(node: Node | None, names: Names, log: ProblemLog) -> Given:
    """Return what all phrases say together: a list, or a text with semicolons."""
    narrowing = _Narrowing()
    for phrase in _phrases(node, log):
        _read_phrase(phrase, narrowing, names, log)
    return Given(allowed=narrowing.allowed, still=tuple(narrowing.still))


def _phrases(node: Node | None, log: ProblemLog) -> list[Scalar]:
    phrases: list[Scalar] = []
    for item in () if node is None else read_items(node, _EXPECTED, log):
        if read_text(item, _EXPECTED, log) is not None:
            assert isinstance(item, Scalar), "read_text takes nothing else"
            parts = re.finditer(r"[^;\s](?:[^;]*[^;\s])?", item.text)
            phrases += [item.part(part.start(), part[0]) for part in parts]
    return phrases


def _read_phrase(phrase: Scalar, narrowing: _Narrowing, names: Names, log: ProblemLog) -> None:
    stays = re.fullmatch(STAYS_PATTERN, phrase.text)
    no_act = re.fullmatch(NO_ACT_PATTERN, phrase.text)
    if stays is not None:
        _check_stays(phrase, stays["device"], stays["word"], names, log)
        narrowing.still.append((stays["device"], stays["word"]))
    elif no_act is not None:
        listed = no_act["devices"]
        devices = split_names(phrase.part(no_act.start("devices"), listed)) if listed else ()
        for device in devices:
            _check_acting(device, names, log)
        narrowing.allowed = (*(narrowing.allowed or ()), *(device.text for device in devices))
    elif phrase.text != ANYTHING:
        log.note(phrase.place, _EXPECTED, repr(phrase.text))


def _check_stays(phrase: Scalar, device: str, word: str, names: Names, log: ProblemLog) -> None:
    if not _check_device(phrase, device, names, log) or names.is_doubtful(device):
        return
    facts = [name for name in names.of_kind(NameKind.FACT) if name.startswith(f"{device}.is_")]
    words = [fact.partition(".is_")[2] for fact in facts]
    if word not in words:
        log.unknown(phrase.place, f"a word for what {device} is", word, words)


def _check_acting(device: Scalar, names: Names, log: ProblemLog) -> None:
    if not _check_device(device, device.text, names, log) or names.is_doubtful(device.text):
        return
    behaviour = names.behaviours.get(device.text)
    if behaviour is None or not operator_acts(behaviour):
        log.note(device.place, "a device on which an operator acts", f"{device.text!r}, which has no acts")


def _check_device(at: Scalar, device: str, names: Names, log: ProblemLog) -> bool:
    devices = names.of_kind(NameKind.DEVICE)
    if device not in devices and not names.is_doubtful(device):
        log.unknown(at.place, "a device", device, devices)
    return device in devices
