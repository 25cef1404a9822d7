"""How far a search may go, and why it stopped. A search that stopped at a limit never says that something holds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class StopReason(Enum):
    """Why a search ended."""

    FINISHED = "every reachable class was explored"
    CLASSES = "the limit on classes was reached"
    SECONDS = "the limit on seconds was reached"
    MEMORY = "the limit on memory was reached"
    INTERRUPTED = "it was interrupted"
    STARTS = "there are more starting states than the limit allows"
    INSTANT_LOOP = "devices move in a circle in one instant, so time would stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits of one search, all layers together; None is no limit.

    `starts`: starting states of `start: anywhere`.
    """

    classes: int | None = None
    seconds: float | None = None
    memory_mib: int | None = None
    starts: int = 200_000


def memory_used_mib() -> int | None:
    """The most memory this process has used, or None where the system does not say."""
    try:
        import resource
    except ImportError:  # not on Windows
        return None
    return int(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
