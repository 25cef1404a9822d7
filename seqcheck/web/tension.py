"""Web tension in spans: each span is a spring between two rollers, stretched by the difference of their
speeds.

Per unit of time the downstream roller takes v2 (1 - e2) of unstretched web out of a span and the upstream one
brings v1 (1 - e1). With tension = EA x strain (EA is `stiffness_n`, in newtons) the balance of unstretched
length gives, to first order in strain,

    L dT2/dt = EA (v2 - v1) + v1 T1 - v2 T2

Speeds are surface speeds of rollers on which the web does not slip; tensions are for the whole width. The law
knows no slack: below 0 the web hangs loose, and the value only says that it does.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from seqcheck.web.positive import require_positive


@dataclass(frozen=True, slots=True)
class Span:
    """Free web between two rollers: its length, and EA (modulus x caliper x width) of the web in it."""

    length_m: float
    stiffness_n: float


def stiffness_n(*, modulus_pa: float, caliper_m: float, width_m: float) -> float:
    """EA of a web: modulus x caliper x width.

    Source: Hooke's law.
    """
    return modulus_pa * caliper_m * width_m


def tension_rate_n_per_s(
    span: Span,
    *,
    entry_speed_m_per_s: float,
    exit_speed_m_per_s: float,
    entry_tension_n: float,
    tension_n: float,
) -> float:
    """Rate of tension in one span: (EA (v2 - v1) + v1 T1 - v2 T2) / L.

    Source: balance of unstretched length, first order in strain (module docstring).
    """
    stretched_n = span.stiffness_n * (exit_speed_m_per_s - entry_speed_m_per_s)
    carried_n = entry_speed_m_per_s * entry_tension_n - exit_speed_m_per_s * tension_n
    return (stretched_n + carried_n) / span.length_m


def tension_rates_n_per_s(
    spans: Sequence[Span],
    *,
    roller_speeds_m_per_s: Sequence[float],
    entry_tension_n: float,
    tensions_n: Sequence[float],
) -> tuple[float, ...]:
    """Rates of tension along a row of spans, in the order of the web; right-hand side for an integrator.

    There is one roller more than there are spans; the tension of each span enters the next with the web.

    Raises ValueError if the numbers of spans, rollers and tensions do not match.
    Source: `tension_rate_n_per_s`.
    """
    _require_rollers(spans, roller_speeds_m_per_s)
    if len(tensions_n) != len(spans):
        raise ValueError(f"{len(spans)} spans need {len(spans)} tensions, found {len(tensions_n)}")
    return tuple(
        tension_rate_n_per_s(
            span,
            entry_speed_m_per_s=roller_speeds_m_per_s[index],
            exit_speed_m_per_s=roller_speeds_m_per_s[index + 1],
            entry_tension_n=entry_tension_n if index == 0 else tensions_n[index - 1],
            tension_n=tensions_n[index],
        )
        for index, span in enumerate(spans)
    )


def mass_balance_tension_rate_n_per_s(
    span: Span,
    *,
    entry_speed_m_per_s: float,
    exit_speed_m_per_s: float,
    entry_tension_n: float,
    tension_n: float,
) -> float:
    """Rate of tension without the small-strain step: d/dt [L / (1 + e2)] = v1 / (1 + e1) - v2 / (1 + e2).

    Source: balance of unstretched length, as printed for a span model in a modelling library's help page.
    """
    entry_ratio = 1 + entry_tension_n / span.stiffness_n
    ratio = 1 + tension_n / span.stiffness_n
    gained_m_per_s = exit_speed_m_per_s / ratio - entry_speed_m_per_s / entry_ratio
    return span.stiffness_n * ratio**2 / span.length_m * gained_m_per_s


def time_constant_s(*, span_length_m: float, speed_m_per_s: float) -> float:
    """Time constant of a span: L / v, with the speed at its exit. Infinite at standstill: tension then stays.

    Source: trade article on span tension (webhandling.com/tension-0804); coefficient of T2 in the law above.
    """
    return math.inf if speed_m_per_s == 0 else span_length_m / speed_m_per_s


def draw_tension_n(*, stiffness_n: float, entry_speed_m_per_s: float, exit_speed_m_per_s: float) -> float:
    """Tension that a draw adds: EA (v2 - v1) / v1.

    Raises ValueError if the entry speed is 0.
    Source: T2 = T1 + EA (v2 - v1) / v1 (from memory); differs from `steady_tension_n` by a part of the size
    of the strain.
    """
    if entry_speed_m_per_s == 0:
        raise ValueError("a draw is a ratio of speeds: the entry speed must not be 0")
    return stiffness_n * (exit_speed_m_per_s - entry_speed_m_per_s) / entry_speed_m_per_s


def steady_tension_n(
    span: Span, *, entry_speed_m_per_s: float, exit_speed_m_per_s: float, entry_tension_n: float
) -> float:
    """Tension at which `tension_rate_n_per_s` is zero: (EA (v2 - v1) + v1 T1) / v2.

    Raises ValueError if the exit speed is 0: no steady tension exists while web is held and pulled.
    Source: the law above, exactly.
    """
    if exit_speed_m_per_s == 0:
        raise ValueError("no steady tension: the exit speed is 0")
    stretched_n = span.stiffness_n * (exit_speed_m_per_s - entry_speed_m_per_s)
    return (stretched_n + entry_speed_m_per_s * entry_tension_n) / exit_speed_m_per_s


def steady_tensions_n(
    spans: Sequence[Span], *, roller_speeds_m_per_s: Sequence[float], entry_tension_n: float
) -> tuple[float, ...]:
    """Steady tensions along a row of spans at steady speeds.

    Raises ValueError if the numbers of spans and rollers do not match, or an exit speed is 0.
    Source: `steady_tension_n`, span after span.
    """
    _require_rollers(spans, roller_speeds_m_per_s)
    tensions: list[float] = []
    for index, span in enumerate(spans):
        entry_speed, exit_speed = roller_speeds_m_per_s[index : index + 2]
        entry_tension_n = steady_tension_n(
            span,
            entry_speed_m_per_s=entry_speed,
            exit_speed_m_per_s=exit_speed,
            entry_tension_n=entry_tension_n,
        )
        tensions.append(entry_tension_n)
    return tuple(tensions)


def tension_after_step_n(
    *, initial_tension_n: float, steady_tension_n: float, time_s: float, time_constant_s: float
) -> float:
    """Tension `time_s` after a step: T_inf + (T_0 - T_inf) exp(-t / tau).

    Exact for one span with steady speeds and steady entry tension; a time constant of infinity keeps the
    tension.

    Raises ValueError if the time constant is not positive.
    Source: solution of the linear first-order law above.
    """
    require_positive("time_constant_s", time_constant_s)
    left = math.exp(-time_s / time_constant_s)
    return steady_tension_n + (initial_tension_n - steady_tension_n) * left


def tension_when_held_n(span: Span, *, initial_tension_n: float, pulled_length_m: float) -> float:
    """Tension after `pulled_length_m` is drawn out of a span whose entry is clamped: T + EA x / L.

    Negative length lets the span go slack. What a clamp does to a web that still moves.

    Source: Hooke's law, small strain.
    """
    return initial_tension_n + span.stiffness_n * pulled_length_m / span.length_m


def stretch_m(*, length_m: float, tension_n: float, stiffness_n: float) -> float:
    """Length by which a web of `length_m` is stretched: L T / EA.

    Source: Hooke's law.
    """
    return length_m * tension_n / stiffness_n


def lap_shear_limit_n(*, shear_strength_pa: float, lap_length_m: float, width_m: float) -> float:
    """Tension that a taped lap carries: shear strength x lap x width.

    Source: definition of mean shear stress; tape strengths are rated for a time under load, so take the
    rating for it.
    """
    return shear_strength_pa * lap_length_m * width_m


def _require_rollers(spans: Sequence[Span], roller_speeds_m_per_s: Sequence[float]) -> None:
    if len(roller_speeds_m_per_s) != len(spans) + 1:
        raise ValueError(
            f"{len(spans)} spans need {len(spans) + 1} rollers, found {len(roller_speeds_m_per_s)}"
        )
