"""The safety circuits of a file: what holds their energy on, how fast it drops, how it comes back."""

from __future__ import annotations

from seqcheck.language.document import MapNode, Node, Scalar
from seqcheck.language.expression import Expression
from seqcheck.language.sequence import Circuit
from seqcheck.quantities.time import TimeRange
from seqcheck.reader.condition import read_condition, read_conditions
from seqcheck.reader.field_value import read_positive_time, read_time_range
from seqcheck.reader.limits import MOST_CIRCUITS
from seqcheck.reader.plain_value import check_count, check_keys, read_map, read_name
from seqcheck.reader.problem_log import ProblemLog

CIRCUIT_KEYS = ("channels", "drop", "discrepancy", "reset", "signal")
MOST_CHANNELS = 2
"""Channels of a circuit; ISO 13849-1 knows one (categories B, 1, 2) and two (categories 3, 4)."""

_UNREAD_DROP = TimeRange(0, 1)


def read_circuits(node: Node | None, log: ProblemLog) -> tuple[Circuit, ...]:
    """Return all circuits in the order of the file; one that is wrong keeps what could be read."""
    circuits = None if node is None else read_map(node, "a map of circuits", log)
    if circuits is None:
        return ()
    check_count(circuits.place, len(circuits.entries), MOST_CIRCUITS, "circuits", log)
    return tuple(_circuit(key, value, log) for key, value in circuits.entries[:MOST_CIRCUITS])


def _circuit(key: Scalar, node: Node, log: ProblemLog) -> Circuit:
    name = read_name(key, "the name of a circuit", log) or key.text
    owner = read_map(node, f"a map for the circuit {name}, e.g. {{channels: [...], drop: 10..30 ms}}", log)
    if owner is None:
        return Circuit(name=name, place=key.place, channels=(), drop=_UNREAD_DROP)
    check_keys(owner, CIRCUIT_KEYS, f"a field of circuit {name}", log)
    return Circuit(
        name=name,
        place=key.place,
        channels=_channels(key, owner, log),
        drop=_drop(key, owner, log),
        discrepancy_us=_discrepancy(owner, log),
        reset=_reset(owner, log),
        signal=_signal(owner, log),
    )


def _channels(key: Scalar, owner: MapNode, log: ProblemLog) -> tuple[Expression, ...]:
    node = owner.get("channels")
    if node is None:
        log.note(key.place, f"'channels' in circuit {key.text} (conditions that hold it on)", "nothing")
        return ()
    channels = read_conditions(node, log) or ()
    if check_count(node.place, len(channels), MOST_CHANNELS, "channels", log):
        return channels
    return channels[:MOST_CHANNELS]


def _drop(key: Scalar, owner: MapNode, log: ProblemLog) -> TimeRange:
    node = owner.get("drop")
    if node is None:
        log.note(key.place, f"'drop' in circuit {key.text} (from a lost channel to energy off)", "nothing")
        return _UNREAD_DROP
    return read_time_range(node, "'drop'", log) or _UNREAD_DROP


def _discrepancy(owner: MapNode, log: ProblemLog) -> int | None:
    node = owner.get("discrepancy")
    if node is None:
        return None
    channels = owner.get("channels")
    if channels is not None and isinstance(channels, Scalar):
        log.note(node.place, "two channels for 'discrepancy' to compare", "one")
    return read_positive_time(node, "'discrepancy'", log)


def _reset(owner: MapNode, log: ProblemLog) -> Expression | None:
    node = owner.get("reset")
    return None if node is None else read_condition(node, log)


def _signal(owner: MapNode, log: ProblemLog) -> str | None:
    node = owner.get("signal")
    return None if node is None else read_name(node, "the name of an input for 'signal'", log)
