"""Measured times beside the ranges that the file declares: too narrow, needlessly wide, or right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from seqcheck.kernel.machine import Machine
from seqcheck.kernel.network import Network
from seqcheck.plc.declared_range import DeclaredRange
from seqcheck.plc.measurements import Measurement
from seqcheck.plc.replayed import Fit, Measured
from seqcheck.quantities.time import TimeRange

ENOUGH = 5
"""Times that must be measured before a range is called needlessly wide. Common practice, no source."""
NEEDLESS = 0.5
"""A range is needlessly wide if more than this share of it lies outside all that was measured. Common practice, no source."""

Motion = tuple[int, str, int, int]


def measured_ranges(
    network: Network, motions: Mapping[Motion, Measurement], declared: tuple[DeclaredRange, ...]
) -> tuple[Measured, ...]:
    """A row for each range in the file, then one for each measured motion whose range the file does not give itself."""
    return tuple(_rows(network, motions, declared))


def _rows(
    network: Network, motions: Mapping[Motion, Measurement], declared: tuple[DeclaredRange, ...]
) -> Iterator[Measured]:
    left = dict(motions)
    for part in declared:
        together = Measurement()
        for device, move in part.motions:
            ends = part.within.earliest_us, part.within.latest_us or 0
            identity = (network.machine_index[device], move, *ends)
            if identity in left:
                together.add_all(left.pop(identity))
        yield _row(".".join(name for name in part.path[1:] if name != "next"), part.within, part.path, together)
    for (index, move, earliest_us, latest_us), measured in left.items():
        machine = network.machines[index]
        yield _row(f"{machine.name} {move}{_resumed(machine, move, latest_us)}", TimeRange(earliest_us, latest_us), None, measured)


def _resumed(machine: Machine, move: str, latest_us: int) -> str:
    """A motion begun at an unknown place has a range of its own beside the whole one."""
    others = {
        item.pending.latest_us for place in machine.places for item in place.timed if item.label == move and not place.mode
    }
    return " (resumed)" if len(others) > 1 or latest_us not in others else ""


def _row(subject: str, within: TimeRange, path: tuple[str, ...] | None, measured: Measurement) -> Measured:
    return Measured(
        subject=subject,
        within=within,
        path=path,
        count=measured.count,
        shortest_us=measured.shortest_us,
        longest_us=measured.longest_us,
        certain=(measured.surely_short_us, measured.surely_long_us),
        mean_us=measured.mean_us,
        samples=tuple(measured.samples),
        fit=_fit(within, measured),
    )


def _fit(within: TimeRange, measured: Measurement) -> Fit:
    if measured.count == 0:
        return Fit.NONE
    latest_us = within.latest_us or 0
    if measured.surely_short_us < within.earliest_us or measured.surely_long_us > latest_us:
        return Fit.TOO_NARROW
    width_us = latest_us - within.earliest_us
    used_us = min(measured.longest_us, latest_us) - max(measured.shortest_us, within.earliest_us)
    if measured.count < ENOUGH:
        return Fit.FEW
    return Fit.TOO_WIDE if width_us > 0 and used_us < (1 - NEEDLESS) * width_us else Fit.INSIDE
