"""How a recording of the machine is to be read: what its rows mean, and what its columns are called."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from seqcheck.errors import Place


class RecordingForm(StrEnum):
    """What a row of a recording means."""

    AUTO = "auto"
    """Found out from the first rows: evenly spaced rows that mostly change nothing are samples."""
    CHANGES = "changes"
    """A row is written when something changes, at its time."""
    SAMPLED = "sampled"
    """A row shows everything at its time; what differs from the row before changed somewhere between the two."""


class TimeUnit(StrEnum):
    """The unit of the time column; the value is what a person types."""

    MICROSECONDS = "us"
    MILLISECONDS = "ms"
    SECONDS = "s"
    CLOCK = "clock"
    """Date and time of day as ISO 8601 writes them."""

    @property
    def microseconds(self) -> int:
        """Microseconds in one; 0 for a clock."""
        return {"us": 1, "ms": 1_000, "s": 1_000_000}.get(self.value, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnName:
    """`name` of the sequence is recorded in the column (or VCD variable) `column`."""

    name: str
    column: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingMap:
    """How recordings of this machine are made. None, AUTO or empty: found out from the recording itself.

    `jitter_us`: a time stamp is at most this far from the truth, either way; rows stand in the order of what happened.
    """

    time_column: str | None = None
    unit: TimeUnit | None = None
    form: RecordingForm = RecordingForm.AUTO
    jitter_us: int | None = None
    columns: tuple[ColumnName, ...] = ()
