"""The margin over line speed and over roll diameter, a proof for every point.

Speed: ramps keep their times (a drive that follows its ramp) or their rates (a drive at its torque limit), as asked.

Diameter: unwind or rewind ramp as quickly as the file says, but no quicker than the tension limits of the web allow at that
diameter, where the web must turn the share of the roll's inertia that no motor or controlled brake takes over (1 - compensation):
a <= least of (run - least, most - run) / ((1 - compensation) J / r^2), ramp time >= v / a.
Source: torque balance of an unwinding roll, T r = J a / r; see web/unwind_torque.py.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from seqcheck.check.budget_edit import at_line_speed, with_winding_ramps_of_at_least
from seqcheck.check.budget_proof import Proof, Proven, Prover
from seqcheck.check.budget_side import Side
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.web.roll import Roll, roll_inertia_kg_m2

SPEED_RATIOS = (0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3, 1.4)
"""Line speeds looked at, times the file's."""

DIAMETERS = 7
"""Roll diameters looked at, from core to full."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """One point of a curve: the abscissa `at` (m/s or metres), the least margin in metres (None: not known), what was proven.

    `is_floor`: more is drawn than the search followed, so that the true margin lies below. `ramp_us`: the shortest ramp of the
    winding there; None on a curve over speed. `note`: why it does not hold where the margin does not say it.
    """

    at: float
    margin_m: float | None
    holds: bool
    is_floor: bool = False
    ramp_us: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Points over one quantity; `missing` says why there are none. `model`: what was assumed, in a sentence."""

    quantity: str
    unit: str
    model: str
    points: tuple[CurvePoint, ...] = ()
    missing: str = ""


def speed_curve(prover: Prover, sequence: Sequence, *, keeps_rates: bool) -> Curve:
    """The margin over line speed."""
    line = sequence.machine.line
    assert line is not None, "a budget needs the line section"
    speeds = [line.speed_m_per_s * ratio for ratio in SPEED_RATIOS]
    proofs = prover.prove_all(at_line_speed(sequence, speed, keeps_rates=keeps_rates) for speed in speeds)
    return Curve(
        quantity="line speed",
        unit="m/s",
        model=f"ramps keep their {'rates' if keeps_rates else 'times'}; other times as in the file",
        points=tuple(_point(speed, proof) for speed, proof in zip(speeds, proofs, strict=True)),
    )


def diameter_curve(prover: Prover, sequence: Sequence, side: Side, drive: str, compensation: float) -> Curve:
    """The margin over the diameter of the roll on the device `drive`, the unwind or rewind."""
    model = (
        f"ramps of the {side.winding} as in the file, or as long as web tension allows with {compensation:.0%} of the roll's "
        "inertia taken over by motor or brake"
    )
    ramps = dict(_ramps_us(sequence, compensation))
    if not ramps:
        missing = f"needs web width, caliper, grammage and tension, and the sections roll, line and {side.winding}"
        return Curve(quantity="roll diameter", unit="m", model=model, missing=missing)
    proofs = prover.prove_all(
        with_winding_ramps_of_at_least(sequence, side.winding, drive, ramp_us) for ramp_us in ramps.values()
    )
    points = tuple(
        _point(diameter_m, proof, ramp_us) for (diameter_m, ramp_us), proof in zip(ramps.items(), proofs, strict=True)
    )
    return Curve(quantity="roll diameter", unit="m", model=model, points=points)


def _point(at: float, proof: Proven, ramp_us: int | None = None) -> CurvePoint:
    if not isinstance(proof, Proof):
        return CurvePoint(at=at, margin_m=None, holds=False, ramp_us=ramp_us, note=proof.because)
    return CurvePoint(
        at=at,
        margin_m=proof.margin_m,
        holds=proof.holds,
        is_floor=proof.overruns,
        ramp_us=ramp_us,
        note=proof.undecided,
    )


def _ramps_us(sequence: Sequence, compensation: float) -> Iterator[tuple[float, int]]:
    """Diameters in metres with the shortest ramp that web tension allows there; none where data are missing."""
    data = sequence.machine
    web, roll, line = data.web, data.roll, data.line
    if web is None or roll is None or line is None:
        return
    if web.width_mm is None or web.caliper_mm is None or web.grammage_g_per_m2 is None:
        return
    if web.tension_run_n is None or web.tension_least_n is None or web.tension_most_n is None:
        return
    wound = Roll(
        core_diameter_m=roll.core_mm / 1000,
        caliper_m=web.caliper_mm / 1000,
        width_m=web.width_mm / 1000,
        grammage_kg_per_m2=web.grammage_g_per_m2 / 1000,
    )
    swing_n = min(web.tension_run_n - web.tension_least_n, web.tension_most_n - web.tension_run_n)
    for number in range(DIAMETERS):
        diameter_m = (roll.core_mm + (roll.outside_mm - roll.core_mm) * number / (DIAMETERS - 1)) / 1000
        mass_kg = (1 - compensation) * roll_inertia_kg_m2(wound, diameter_m) / (diameter_m / 2) ** 2
        yield diameter_m, shortest_ramp_us(line.speed_m_per_s, mass_kg, swing_n)


def shortest_ramp_us(speed_m_per_s: float, mass_kg: float, swing_n: float) -> int:
    """The shortest ramp between standstill and a speed in which a force of `swing_n` moves `mass_kg`; 0 where any is possible.

    Source: Newton's second law, t = v m / F.
    """
    if mass_kg <= 0:
        return 0
    if swing_n <= 0:
        return MICROSECONDS_PER_SECOND * 3600  # no swing is allowed at all: an hour is never short enough
    return ceil(speed_m_per_s * mass_kg / swing_n * MICROSECONDS_PER_SECOND)
