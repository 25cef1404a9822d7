"""The flags and alarms of a file."""

from __future__ import annotations

from seqcheck.language.document import MapNode, Node, Scalar
from seqcheck.language.expression import Constant, Expression
from seqcheck.language.sequence import Alarm, Flag
from seqcheck.reader.condition import read_condition
from seqcheck.reader.limits import MOST_ALARMS, MOST_FLAGS
from seqcheck.reader.plain_value import (
    check_count,
    check_keys,
    read_items,
    read_map,
    read_name,
    read_text,
    read_truth,
)
from seqcheck.reader.problem_log import ProblemLog

REQUIRED_KEYS = ("text", "clear")
FLAG_KEYS = ("name", "retained")
ALARM_KEYS = (*REQUIRED_KEYS, "acknowledge")


def read_flags(node: Node | None, log: ProblemLog) -> tuple[Flag, ...]:
    """Return the flags in the order of the file."""
    items = () if node is None else read_items(node, "a list of names of flags", log)
    if node is not None:
        check_count(node.place, len(items), MOST_FLAGS, "flags", log)
    read = [_flag(item, log) for item in items[:MOST_FLAGS]]
    return tuple(flag for flag in read if flag is not None)


def _flag(node: Node, log: ProblemLog) -> Flag | None:
    """A name, or a map `{name: spliced, retained: true}`."""
    if not isinstance(node, MapNode):
        name = read_name(node, "the name of a flag", log)
        return None if name is None else Flag(name=name, place=node.place)
    check_keys(node, FLAG_KEYS, "a field of a flag (name, retained)", log)
    named, retained = node.get("name"), node.get("retained")
    if named is None:
        log.note(node.place, "'name' of a flag", "nothing")
        return None
    name = read_name(named, "the name of a flag", log)
    is_retained = retained is not None and read_truth(retained, "a word for 'retained'", log) is True
    return None if name is None else Flag(name=name, place=named.place, retained=is_retained)


def read_alarms(node: Node | None, log: ProblemLog) -> tuple[Alarm, ...]:
    """Return the alarms in the order of the file; one that is wrong keeps what could be read."""
    alarms = None if node is None else read_map(node, "a map of alarms", log)
    if alarms is None:
        return ()
    check_count(alarms.place, len(alarms.entries), MOST_ALARMS, "alarms", log)
    return tuple(_alarm(key, value, log) for key, value in alarms.entries[:MOST_ALARMS])


def _alarm(key: Scalar, node: Node, log: ProblemLog) -> Alarm:
    name = read_name(key, "the name of an alarm", log) or key.text
    never: Expression = Constant(key.place, False)
    owner = read_map(node, f"a map for the alarm {name}, e.g. {{text: ..., clear: reset}}", log)
    if owner is None:
        return Alarm(name=name, place=key.place, text=name, clear=never)
    check_keys(owner, ALARM_KEYS, f"a field of alarm {name} ({', '.join(ALARM_KEYS)})", log)
    for wanted in REQUIRED_KEYS:
        if owner.get(wanted) is None:
            log.note(key.place, f"{wanted!r} in alarm {name}", "nothing")
    text, clear, acknowledge = (owner.get(key_name) for key_name in ALARM_KEYS)
    return Alarm(
        name=name,
        place=key.place,
        text=(text and read_text(text, "the sentence of an alarm", log)) or name,
        clear=(clear and read_condition(clear, log)) or never,
        acknowledge=None if acknowledge is None else read_condition(acknowledge, log),
    )
