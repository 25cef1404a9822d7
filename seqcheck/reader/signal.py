"""An input of the controller as a file declares it: a name, or `{name: knife_home, delay: 2..5 ms}`."""

from __future__ import annotations

from seqcheck.language.document import MapNode, Node
from seqcheck.language.field import Signal
from seqcheck.quantities.time import TimeRange, parse_time_range
from seqcheck.reader.plain_value import check_keys, read_name, read_parsed
from seqcheck.reader.problem_log import ProblemLog


def read_signal(node: Node, expected: str, log: ProblemLog) -> Signal | None:
    """Return the signal, without a delay where the file gives none."""
    if not isinstance(node, MapNode):
        name = read_name(node, expected, log)
        return None if name is None else Signal(name=name)
    check_keys(node, ("name", "delay"), "a field of an input (name, delay)", log)
    name_node = node.get("name")
    if name_node is None:
        log.note(node.place, "'name' of an input", "nothing")
        return None
    name = read_name(name_node, expected, log)
    return None if name is None else Signal(name=name, delay=_delay(node, log))


def _delay(node: MapNode, log: ProblemLog) -> TimeRange | None:
    delay = node.get("delay")
    if delay is None:
        return None
    return read_parsed(delay, "a range of times such as '2..5 ms' for 'delay'", parse_time_range, log)
