"""What an operator does one after the other: `[hood closes within 1..20 s, repair knife within 1..10 min]`.

Each act is a text as above, or a map `{device: hood, act: closes, within: 1..20 s}`.
"""

from __future__ import annotations

import re

from seqcheck.language.document import MapNode, Node, Scalar
from seqcheck.language.field import Act
from seqcheck.quantities.time import TimeRange, parse_time_range
from seqcheck.reader.plain_value import check_keys, read_items, read_name, read_parsed, read_text
from seqcheck.reader.problem_log import ProblemLog

REPAIR = "repair"
"""The act that clears a failure of its device."""

_PHRASE = re.compile(r"(?P<first>\w+)\s+(?P<second>\w+)\s+within\s+(?P<within>\S.*)")
_EXPECTED = "an act such as 'hood closes within 1..20 s' or 'repair knife within 1..10 min'"


def read_acts(node: Node, log: ProblemLog) -> tuple[Act, ...] | None:
    """Return the acts in their order; None if one of them is wrong."""
    read = [_act(item, log) for item in read_items(node, _EXPECTED, log)]
    acts = tuple(act for act in read if act is not None)
    return acts if acts and len(acts) == len(read) else None


def _act(node: Node, log: ProblemLog) -> Act | None:
    return _act_of_map(node, log) if isinstance(node, MapNode) else _act_of_phrase(node, log)


def _act_of_map(node: MapNode, log: ProblemLog) -> Act | None:
    check_keys(node, ("device", "act", "within"), "a field of an act (device, act, within)", log)
    device, act, within = node.get("device"), node.get("act"), node.get("within")
    if device is None or act is None or within is None:
        log.note(node.place, "'device', 'act' and 'within' of an act", "nothing for one of them")
        return None
    device_name = read_name(device, "the name of a device", log)
    act_name = read_name(act, "the name of an act", log)
    return _made(device_name, act_name, _within(within, log))


def _act_of_phrase(node: Node, log: ProblemLog) -> Act | None:
    text = read_text(node, _EXPECTED, log)
    match = _PHRASE.fullmatch(text or "")
    if match is None:
        if text is not None:
            log.note(node.place, _EXPECTED, repr(text))
        return None
    first, second = match["first"], match["second"]
    device, act = (second, REPAIR) if first == REPAIR else (first, second)
    return _made(device, act, _within(Scalar(node.place, match["within"]), log))


def _within(node: Node, log: ProblemLog) -> TimeRange | None:
    return read_parsed(node, "a range of times such as '1..20 s' for 'within'", parse_time_range, log)


def _made(device: str | None, act: str | None, within: TimeRange | None) -> Act | None:
    if device is None or act is None or within is None:
        return None
    return Act(device=device, act=act, within=within)
