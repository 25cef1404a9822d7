"""Plain numbers without a dimension, and years, which no calculation here turns into seconds."""

from __future__ import annotations

import re

_NUMBER = re.compile(r"[0-9]{1,15}(\.[0-9]{1,9})?(e[+]?[0-9]{1,2})?", re.IGNORECASE)
_LONGEST = 32
_MOST = 1e15


def parse_number(text: str) -> float:
    """A number greater than zero: `2000000`, `2e6`, `0.5`.

    Raises ValueError (`expected ..., found ...`) for anything else, or more than 1e15.
    """
    plain = text.strip()
    if len(plain) > _LONGEST or _NUMBER.fullmatch(plain) is None:
        raise ValueError(f"expected a number such as 2000000 or 2e6, found {text[:_LONGEST]!r}")
    number = float(plain)
    if not 0 < number <= _MOST:
        raise ValueError(f"expected a number above 0 and up to 1e15, found {text!r}")
    return number


def parse_years(text: str) -> float:
    """Years greater than zero: `80 years`.

    Raises ValueError (`expected ..., found ...`) for anything else.
    """
    number, _, unit = text.strip().partition(" ")
    if unit.strip() not in ("years", "year"):
        raise ValueError(f"expected a time such as '80 years', found {text[:_LONGEST]!r}")
    return parse_number(number)
