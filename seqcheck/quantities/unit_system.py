"""Numbers as people read them: in metric units, or in those customary in the United States.

Inside the program everything is metric; only what a person reads is converted, at the very end. Files for machines (JSON, CSV, VCD)
stay metric. Source of the factors: international yard and pound agreement of 1959 (foot 0.3048 m, inch 25.4 mm, pound
0.45359237 kg), standard gravity 9.80665 m/s2; all exact.
"""

from __future__ import annotations

from contextvars import ContextVar
from enum import StrEnum


class UnitSystem(StrEnum):
    """Which units people read."""

    METRIC = "metric"
    US = "us"


_chosen: ContextVar[UnitSystem] = ContextVar("unit_system", default=UnitSystem.METRIC)

_METRIC = {"m/s": (60.0, "m/min")}
_US = {
    "m": (1 / 0.3048, "ft"),
    "mm": (1 / 25.4, "in"),
    "m/s": (60 / 0.3048, "ft/min"),
    "N": (1 / (0.45359237 * 9.80665), "lbf"),
    "N/m": (0.0254 / (0.45359237 * 9.80665), "lbf/in"),
    "kg": (1 / 0.45359237, "lb"),
}


def show_units(system: UnitSystem) -> None:
    """From now on numbers are shown in units of `system`; for the program, once, at its start."""
    _chosen.set(system)


def in_shown_units(value: float, unit: str) -> tuple[float, str]:
    """A number and its unit as shown; units that do not differ, such as those of time, stay."""
    table = _US if _chosen.get() is UnitSystem.US else _METRIC
    factor, shown = table.get(unit, (1.0, unit))
    return value * factor, shown


def shown_text(value: float, unit: str, decimals: int = 3) -> str:
    """A number with its unit as shown."""
    number, name = in_shown_units(value, unit)
    return f"{number:.{decimals}f} {name}"
