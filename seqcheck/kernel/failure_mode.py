"""A failure mode in numbers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class FailureMode:
    """A failure that the network can have. `contact` is the signal bit for stuck contacts, 0 for bodies."""

    index: int
    name: str
    device: str
    text: str
    machine: int
    contact: int = 0
    stuck_on: bool = False
    is_intermittent: bool = False
