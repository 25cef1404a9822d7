"""What a requirement kind must say: its fields in a file, and the monitors that watch for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seqcheck.kernel.observer import Monitor
from seqcheck.language.field import Field
from seqcheck.language.sequence import Requirement, Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class RequirementKind:
    """A kind of requirement. Its first field names it in a file (`interlock: knife_fire`).

    `monitors` turns a requirement into what the engines watch; raises SequenceFileError where the sequence lacks the data
    that the kind needs. `judges`: "signals", "machine", or decided from the expressions ("mixed").
    """

    name: str
    meaning: str
    fields: tuple[Field, ...]
    monitors: Callable[[Requirement, Sequence], tuple[Monitor, ...]]
    needs_given: bool = False
    timed_from_fault: bool = False
