"""Whether one run attains the worst values of several monitors at once: what is added up from them is then exact, and no bound."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.attained import TOLERANCE_US, rests_on, started_at
from seqcheck.check.bound import widened_motions
from seqcheck.check.witness import witness_of
from seqcheck.explore.layers import Path
from seqcheck.explore.summary import Chain
from seqcheck.explore.witness import Constraint
from seqcheck.kernel.network import Network
from seqcheck.simulate.replay import Replay


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """The longest or the shortest duration that monitor `number` measured, found over the layers of `chain`."""

    number: int
    value_us: int
    is_longest: bool
    chain: Chain


def has_all(networks: tuple[Network, Network], path: Path, ends: tuple[End, ...]) -> bool:
    """Whether a schedule of `path`, at whose end all monitors measure, attains every one of `ends` in the concrete simulator.

    What rests on a motion with a widened range that ends while they measure is a bound (attained.py).
    """
    explored, replayed = networks
    last = len(path.edges)
    starts = [started_at(path, end.number) for end in ends]
    if not all(starts):
        return False
    asked = tuple(
        Constraint(last, start, -end.value_us) if end.is_longest else Constraint(start, last, end.value_us)
        for end, start in zip(ends, starts, strict=True)
    )
    widened = tuple(motion for motion in widened_motions(explored, path) if motion.end > min(starts))
    if rests_on(explored, path, widened, (asked,)):
        return False
    _, replay = witness_of(explored, replayed, path, (asked,))
    return replay is not None and replay.confirmed and all(_attains(replay, end) for end in ends)


def _attains(replay: Replay, end: End) -> bool:
    measured = [item for item in replay.run.noticed if (item.monitor, item.kind) == (end.number, "ended")]
    return bool(measured) and abs((measured[-1].value_us or 0) - end.value_us) <= TOLERANCE_US
