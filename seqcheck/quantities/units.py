"""Physical quantities: `240 m/min` in a file becomes a plain number in the unit that its dimension states.

The units themselves come from pint, which is slow to load and therefore loaded at the first quantity.
Conversion factors are exact fractions; only the final number is rounded, once, to a float.
"""

import re
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from pickle import UnpicklingError
from typing import Any

LONGEST_TEXT = 60
"""Characters of a quantity; no unit of the trade needs more, and pint never sees an essay."""

LARGEST_NUMBER = 10**15
"""In the dimension's own unit. A larger one is a slip in the unit, and could exceed what a float holds."""

_QUANTITY = re.compile(r"([0-9]+(?:\.[0-9]+)?) *(.*)")
# Words of letters, each squared or cubed at most, between single signs: nothing that computes or calls.
_WORD = r"(?:[A-Za-zµμ]+(?:\^?[23]|[²³])?|%)"
_UNIT = re.compile(rf"{_WORD}(?:(?: ?[*/·] ?| ){_WORD})*")
_POWER = re.compile(r"(?<=[A-Za-zµμ])\^?([23²³])")
_RATIO_UNITS = ("", "%", "percent")  # to pint radians are plain numbers too; a ratio is no angle


class Dimension(Enum):
    """What a quantity measures; `unit` is the unit of the number that `parse_quantity` returns."""

    LENGTH = ("a length", "mm", "450 mm")
    SPEED = ("a speed", "m/s", "240 m/min")
    ACCELERATION = ("an acceleration", "m/s2", "1.5 m/s2")
    TENSION = ("a tension", "N", "60 N")
    TENSION_PER_WIDTH = ("a tension per width", "N/m", "1.5 lbf/in")
    GRAMMAGE = ("a grammage", "g/m2", "55 g/m2")
    STIFFNESS = ("a stiffness (force at a strain of one)", "N", "12 kN")
    TORQUE = ("a torque", "N m", "20 N m")
    MASS = ("a mass", "kg", "300 kg")
    INERTIA = ("a moment of inertia", "kg m2", "12 kg m2")
    COUNTS = ("a number of counts", "count", "13000 counts")
    COUNTS_PER_LENGTH = ("counts per length", "count/m", "1000 counts/m")
    RATIO = ("a ratio", "", "15 %")

    @property
    def label(self) -> str:
        """What it is, with its article, for a sentence."""
        return self.value[0]

    @property
    def unit(self) -> str:
        """The unit of the numbers; empty for a ratio."""
        return self.value[1]

    @property
    def example(self) -> str:
        """A quantity of this dimension as a person writes it."""
        return self.value[2]


def parse_quantity(text: str, dimension: Dimension) -> float:
    """Return the number of `text` (zero or more) in the unit of `dimension`: `240 m/min` as a speed is 4.0.

    A ratio may have no unit: `15 %` and `0.15` are the same. Pounds are masses: a force is `lbf`.

    Raises ValueError if the text is no number with unit, the unit is unknown or measures something else, or
    the number is absurdly large.
    """
    if len(text) > LONGEST_TEXT:
        limit = f"at most {LONGEST_TEXT} characters"
        raise ValueError(f"expected {dimension.label} of {limit}, found {len(text)}")
    match = _QUANTITY.fullmatch(text.strip(" "))
    if match is None:
        raise _unexpected(text, dimension)
    factor = _factor(match[2], dimension)
    if factor is None or Fraction(match[1]) * factor > LARGEST_NUMBER:
        raise _unexpected(text, dimension)
    return float(Fraction(match[1]) * factor)


def parse_quantity_range(text: str, dimension: Dimension) -> tuple[float, float]:
    """Return both ends of a text such as `17.2..17.4 m` or `980 mm..1 m`; one quantity stands for both.

    A first number without a unit has that of the second.

    Raises ValueError as `parse_quantity` does, and if the larger one stands first.
    """
    first, dots, second = text.partition("..")
    if not dots:
        only = parse_quantity(text, dimension)
        return only, only
    most = parse_quantity(second, dimension)
    has_unit = _QUANTITY.fullmatch(first.strip(" "))
    if has_unit is not None and has_unit[2] == "":
        first = f"{first.strip(' ')} {_unit_of(second)}"
    least = parse_quantity(first, dimension)
    if least > most:
        raise ValueError(f"expected the smaller one first, found {text!r}")
    return least, most


def _unit_of(text: str) -> str:
    match = _QUANTITY.fullmatch(text.strip(" "))
    assert match is not None, "the text has been parsed"
    return match[2]


def _unexpected(text: str, dimension: Dimension) -> ValueError:
    return ValueError(f"expected {dimension.label} such as '{dimension.example}', found {text!r}")


@lru_cache(maxsize=1000)
def _factor(unit: str, dimension: Dimension) -> Fraction | None:
    """Return how many of the dimension's units one `unit` is; None if it does not measure that."""
    if dimension is Dimension.RATIO and unit not in _RATIO_UNITS:
        return None
    if unit == "":
        return Fraction(1) if dimension is Dimension.RATIO else None
    return _factor_by_pint(unit, dimension.unit) if _UNIT.fullmatch(unit) else None


def _factor_by_pint(unit: str, target_unit: str) -> Fraction | None:
    import pint

    registry = _registry()
    try:
        one = registry.Quantity(Fraction(1), registry.parse_units(_pint_spelling(unit)))
        return Fraction(one.to(_pint_spelling(target_unit)).magnitude)
    except (pint.PintError, ValueError, TypeError):  # unknown unit, or one of another dimension
        return None


def _pint_spelling(unit: str) -> str:
    """Return `g/m2` as `g/m**2`: pint reads a digit only after its sign for powers."""
    powers = {"²": "2", "³": "3"}
    spelled = _POWER.sub(lambda match: f"**{powers.get(match[1], match[1])}", unit)
    return spelled.replace("·", "*").replace("%", "percent")


@lru_cache(maxsize=1)
def _registry() -> Any:
    """Return the one registry of units, read from pint's cache on disk where the disk allows it."""
    import pint

    try:
        return pint.UnitRegistry(cache_folder=":auto:", non_int_type=Fraction)
    except (OSError, EOFError, UnpicklingError):
        # No writable home, or another process is just writing the cache: read the definitions afresh (0.3 s).
        return pint.UnitRegistry(non_int_type=Fraction)
