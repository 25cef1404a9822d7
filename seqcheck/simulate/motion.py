"""What a machine did in one run, in numbers: the record that curves are made from."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.simulate.decurling import Arc
from seqcheck.simulate.guides import GuideArc
from seqcheck.simulate.physical_data import PhysicalData
from seqcheck.simulate.segment import Segment


@dataclass(frozen=True, slots=True, kw_only=True)
class Replacement:
    """At `time_s` roll number `roll` was replaced by a new one."""

    time_s: float
    roll: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MotionRecord:
    """Segments of constant acceleration up to `end_s`. `diameters_m`: of each roll at the start. `broken_s`: when the web broke.

    `arcs`: what decurlers did; `guide_arcs`: what guides did.
    """

    data: PhysicalData
    segments: tuple[Segment, ...]
    end_s: float
    diameters_m: tuple[float, ...]
    replacements: tuple[Replacement, ...] = ()
    broken_s: float | None = None
    arcs: tuple[Arc, ...] = ()
    guide_arcs: tuple[GuideArc, ...] = ()
