"""Parts of a machine that are written once and stand several times: two spindles, three lifts."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class CopySet:
    """The copies that a parameter stands for. `names`: of every name made with it, what it is called in each copy."""

    parameter: str
    values: tuple[str, ...]
    names: tuple[tuple[str, ...], ...] = ()
