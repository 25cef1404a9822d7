"""The troubleshooting table: for each alarm, the failures that can lead to it and the inputs that tell them apart."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A failure that can lead to an alarm, in these steps.

    `look_at`: inputs as they stand when the alarm has come and the machine is at rest, as (input, "on", "off" or "either"), of
    those that
    differ between suspects of the alarm. `alike`: other suspects that no input tells apart from this one.
    """

    failure: str
    meaning: str
    steps: tuple[str, ...]
    look_at: tuple[tuple[str, str], ...]
    alike: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmEntry:
    """One alarm: its text for people, what can lead to it without any failure (acts of people) and its suspects.

    `without_fault`: acts, as text, after which the alarm can come although nothing has failed. `inputs`: the inputs that tell
    suspects
    apart, the columns of `look_at`.
    """

    alarm: str
    text: str
    clears_when: str
    without_fault: tuple[str, ...]
    inputs: tuple[str, ...]
    suspects: tuple[Suspect, ...]


@dataclass(frozen=True, slots=True)
class Troubleshooting:
    """All alarms in the order of the file."""

    alarms: tuple[AlarmEntry, ...]
