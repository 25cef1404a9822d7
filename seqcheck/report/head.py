"""The head of a review: what was judged, by which program, under which assumptions, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class InputFile:
    """A file that was read: the sequence itself, then its bases. `sha256` is of its bytes, in hexadecimal digits."""

    name: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceScope:
    """One device or circuit as it was taken to be.

    `ranges` are (field, range as text) pairs, such as ("out", "120 ms to 250 ms"). `failures` are the failure modes judged, as
    (name, meaning); `excluded` those that the file leaves out, `because` with its reason ("" where it gives none).
    """

    name: str
    type_name: str
    hazard: str | None
    ranges: tuple[tuple[str, str], ...]
    failures: tuple[tuple[str, str], ...]
    excluded: tuple[str, ...] = ()
    because: str = ""
    intermittent: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AssumedGroup:
    """Requirements judged under one hypothesis and one `given`; both as text."""

    hypothesis: str
    given: str
    start_anywhere: bool
    requirements: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """What was assumed. `scan_period` and `scan_write` are text; `on_signals` are safety requirements judged on what the
    controller is told only. `machine` are (quantity, value as text) pairs of web, line, roll, unwind and accumulator.
    """

    scan_period: str
    scan_write: str
    machine: tuple[tuple[str, str], ...]
    devices: tuple[DeviceScope, ...]
    groups: tuple[AssumedGroup, ...]
    on_signals: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """Who, what, when, and the sum of the verdicts.

    `date` is what the user or the file gives, else "". Ids of requirements by verdict: `holding`, `violated`, `vacuous`,
    `undecided`. `caution` are sentences; `sign_off` the lines to be signed ("Reviewed by").
    """

    sequence: str
    revision: str
    note: str
    files: tuple[InputFile, ...]
    version: str
    date: str
    scope: Scope
    holding: tuple[str, ...]
    violated: tuple[str, ...]
    vacuous: tuple[str, ...]
    undecided: tuple[str, ...]
    failure_modes: int
    classes: int
    transitions: int
    stopped: str
    caution: tuple[str, ...]
    sign_off: tuple[str, ...]
