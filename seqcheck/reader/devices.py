"""The devices of a file: a type, the fields that this type declares, and what every device may say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from seqcheck.language.document import ListNode, MapNode, Node, Scalar
from seqcheck.language.sequence import Device
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.plant.device_type import DeviceType
from seqcheck.reader.field_value import read_fields
from seqcheck.reader.limits import MOST_DEVICES
from seqcheck.reader.plain_value import check_count, check_keys, read_map, read_name, read_names, read_text
from seqcheck.reader.problem_log import ProblemLog

COMMON_KEYS = ("type", "hazard", "without", "intermittent")
"""What every device may say, whatever its type."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceRead:
    """A device as far as it could be read.

    `is_complete`: nothing in it was wrong, so its behaviour can be asked for. `texts`: every text in it;
    where it is not complete, these may be the names that it would have declared. `failures`: the names of its
    failures that it speaks of, with their places.
    """

    device: Device
    type: DeviceType | None
    is_complete: bool
    texts: frozenset[str]
    failures: tuple[Scalar, ...] = ()


def read_devices(node: Node | None, log: ProblemLog) -> tuple[DeviceRead, ...]:
    """Return all devices in the order of the file, also those that are not complete."""
    devices = None if node is None else read_map(node, "a map of devices", log)
    if devices is None:
        return ()
    check_count(devices.place, len(devices.entries), MOST_DEVICES, "devices", log)
    return tuple(_device(key, value, log) for key, value in devices.entries[:MOST_DEVICES])


def _device(key: Scalar, node: Node, log: ProblemLog) -> DeviceRead:
    before = len(log)
    name = read_name(key, "the name of a device", log) or key.text
    owner = read_map(node, f"a map for the device {name}, e.g. {{type: cylinder, ...}}", log)
    device_type = None if owner is None else _type(key, owner, log)
    if owner is None or device_type is None:
        broken = Device(name=name, place=key.place, type_name="", entries=())
        return DeviceRead(device=broken, type=None, is_complete=False, texts=frozenset(texts_in(node)))
    excluded, because = _excluded(owner.get("without"), log)
    intermittent = _failure_names(owner.get("intermittent"), log)
    device = replace(
        _typed_device(key, name, owner, device_type, log),
        excluded_failures=tuple(failure.text for failure in excluded),
        excluded_because=because,
        intermittent_failures=tuple(failure.text for failure in intermittent),
    )
    return DeviceRead(
        device=device,
        type=device_type,
        is_complete=len(log) == before,
        texts=frozenset(texts_in(node)),
        failures=(*excluded, *intermittent),
    )


def _type(key: Scalar, owner: MapNode, log: ProblemLog) -> DeviceType | None:
    node = owner.get("type")
    if node is None:
        log.note(key.place, f"'type' in device {key.text}", "nothing")
        return None
    name = read_text(node, "a device type", log)
    device_type = None if name is None else DEVICE_TYPES.get(name)
    if name is not None and device_type is None:
        log.unknown(node.place, "a device type", name, DEVICE_TYPES)
    return device_type


def _typed_device(key: Scalar, name: str, owner: MapNode, device_type: DeviceType, log: ProblemLog) -> Device:
    what = f"device {name} ({device_type.name})"
    fields = read_fields(owner, device_type.fields, COMMON_KEYS, what, key.place, log)
    hazard = owner.get("hazard")
    return Device(
        name=name,
        place=key.place,
        type_name=device_type.name,
        entries=fields.entries,
        hazard=None if hazard is None else read_text(hazard, "what it can do to a person, e.g. cut", log),
    )


def _excluded(node: Node | None, log: ProblemLog) -> tuple[tuple[Scalar, ...], str | None]:
    if node is None:
        return (), None
    without = read_map(node, "a map such as {failures: [jams], because: ...} for 'without'", log)
    if without is None:
        return (), None
    check_keys(without, ("failures", "because"), "a field of 'without' (failures, because)", log)
    failures, because = without.get("failures"), without.get("because")
    if failures is None:
        log.note(without.place, "'failures' in 'without'", "nothing")
    if because is None:
        log.note(without.place, "'because' in 'without' (the reason for leaving failures out)", "nothing")
    reason = None if because is None else read_text(because, "the reason for leaving failures out", log)
    return _failure_names(failures, log), reason


def _failure_names(node: Node | None, log: ProblemLog) -> tuple[Scalar, ...]:
    return () if node is None else read_names(node, "the name of a failure, or a list of them", log)


def texts_in(node: Node) -> Iterator[str]:
    """Yield every text in a part of a file, names of its maps included."""
    if isinstance(node, Scalar):
        yield node.text
    elif isinstance(node, ListNode):
        for item in node.items:
            yield from texts_in(item)
    else:
        for key, value in node.entries:
            yield key.text
            yield from texts_in(value)
