"""A device type: the fields a file may give a device of it, and the behaviour those values make."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seqcheck.language.field import Field
from seqcheck.language.sequence import Device, MachineData
from seqcheck.plant.behaviour import Behaviour


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceType:
    """One kind of machine part. `meaning` is one line for editors.

    `behaviour` raises SequenceFileError where the values contradict each other.
    """

    name: str
    meaning: str
    fields: tuple[Field, ...]
    behaviour: Callable[[Device, MachineData], Behaviour]
