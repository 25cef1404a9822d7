"""How to check."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from seqcheck.explore.limits import Limits

Report = Callable[[str, int, int, int], None]
"""Progress: what is being done, parts done, parts in all, classes so far."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckOptions:
    """`only`: ids of requirements to check, empty for all. `faults`: failures in place of what each requirement states.

    `jobs`: processes (1: none besides this one). `limits` count for each exploration, seconds for all together.
    `reductions`: False switches off every reduction on events (slow; for comparison).
    """

    only: tuple[str, ...] = ()
    faults: int | None = None
    limits: Limits = field(default_factory=Limits)
    jobs: int = 1
    report: Report | None = None
    reductions: bool = True
    symmetry: bool = True
    """Where two copies are equal, take what is proven of one for the other."""
    traps: bool = True
    """Look for traps too; where one file is checked in parts, once is enough."""
