"""What was changed in a sequence, part by part: steps, transitions, timings, outputs, devices. Text is not looked at."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.errors import Place


class PartKind(Enum):
    """What kind of part a change is about."""

    CHART = "chart"
    STEP = "step"
    TRANSITION = "transition"
    TIMING = "timing"
    OUTPUT = "output"
    DEVICE = "device"
    CIRCUIT = "circuit"
    MACHINE = "machine data"
    FLAG = "internal flag"
    ALARM = "alarm"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartChange:
    """One change. `old` or `new` empty: it was not there before, or is no longer. `place` is in the new file where it can be."""

    kind: PartKind
    where: str
    old: str
    new: str
    place: Place

    @property
    def text(self) -> str:
        """The change in one line."""
        if not self.old:
            return f"{self.kind.value} {self.where}: new: {self.new}" if self.new else f"{self.kind.value} {self.where}: new"
        if not self.new:
            return f"{self.kind.value} {self.where}: gone, was {self.old}"
        return f"{self.kind.value} {self.where}: {self.old} -> {self.new}"
