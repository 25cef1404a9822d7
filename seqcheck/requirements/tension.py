"""Tension: in the ramps of the unwind the web tension stays between its least and its most, at every roll diameter.

A figure, not an exploration: the roll's inertia is speeded up or slowed down by the web, but for the share that a motor or a
controlled brake takes over (`compensation`). Quasi-static and without stretch, so a bound for slow ramps:
T = T_run +- (1 - compensation) * J * a / r^2 with a = v / shortest ramp.
Source: torque balance of an unwinding roll, T r = J a / r; see web/unwind_torque.py.
"""

from __future__ import annotations

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import Monitor
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import MachineData, Requirement, Sequence
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.requirements.requirement import Figure, RequirementKind
from seqcheck.web.roll import Roll, roll_inertia_kg_m2

WITHIN = "within limits"
DIAMETERS = 200
"""Diameters looked at from core to full roll; tension over diameter is smooth and its extremes lie at the ends."""


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    """Nothing watches; the figures are worked out so that missing data is a problem of the file."""
    _figures(requirement, sequence)
    return ()


def _figures(requirement: Requirement, sequence: Sequence) -> tuple[Figure, ...]:
    data = sequence.machine
    run_n, least_n, most_n = _tensions(requirement, data)
    uncovered = 1 - (requirement.value("compensation", float) or 0.0)
    swing_n = [uncovered * newtons for newtons in _inertia_forces_n(requirement, data)]
    return (
        Figure(quantity="highest web tension in a ramp", unit="N", worst=run_n + max(swing_n), limit=most_n),
        Figure(
            quantity="lowest web tension in a ramp",
            unit="N",
            worst=run_n - max(swing_n),
            limit=least_n,
            is_least=True,
        ),
    )


def _tensions(requirement: Requirement, data: MachineData) -> tuple[float, float, float]:
    web = data.web
    if web is None or web.tension_run_n is None or web.tension_least_n is None or web.tension_most_n is None:
        raise _missing(requirement, "web tension: {run, least, most}")
    return web.tension_run_n, web.tension_least_n, web.tension_most_n


def _inertia_forces_n(requirement: Requirement, data: MachineData) -> list[float]:
    """The web force that the fastest ramp asks for, at diameters from core to full."""
    web, roll, line, unwind = data.web, data.roll, data.line, data.unwind
    if web is None or roll is None or line is None or unwind is None:
        raise _missing(requirement, "the sections web, roll, line and unwind")
    if web.width_mm is None or web.caliper_mm is None or web.grammage_g_per_m2 is None:
        raise _missing(requirement, "web width, caliper and grammage")
    shortest_s = min(unwind.start.earliest_us, unwind.stop.earliest_us) / MICROSECONDS_PER_SECOND
    acceleration_m_per_s2 = line.speed_m_per_s / shortest_s
    wound = Roll(
        core_diameter_m=roll.core_mm / 1000,
        caliper_m=web.caliper_mm / 1000,
        width_m=web.width_mm / 1000,
        grammage_kg_per_m2=web.grammage_g_per_m2 / 1000,
    )
    step_m = (roll.outside_mm - roll.core_mm) / 1000 / DIAMETERS
    diameters_m = [roll.core_mm / 1000 + step_m * number for number in range(DIAMETERS + 1)]
    return [
        roll_inertia_kg_m2(wound, diameter_m) * acceleration_m_per_s2 / (diameter_m / 2) ** 2
        for diameter_m in diameters_m
    ]


def _missing(requirement: Requirement, expected: str) -> SequenceFileError:
    return SequenceFileError(
        [Problem(place=requirement.place, expected=expected, found="not all of it in this file")]
    )


TENSION = RequirementKind(
    name="tension",
    meaning="web tension in the ramps of the unwind stays between slack and break",
    fields=(
        Field(
            name="tension",
            kind=FieldKind.WORD,
            choices=(WITHIN,),
            meaning="the limits are those of the web section",
            required=True,
        ),
        Field(
            name="compensation",
            kind=FieldKind.RATIO,
            meaning="share of the roll's inertia that a motor or controlled brake takes over; default 0 %",
        ),
    ),
    monitors=_monitors,
    figures=_figures,
)
