"""The spool of a directional valve, and what coils, air and a holding device make of it.

The picture: coils put the spool somewhere (out, home, centre). What the piston then feels also depends on the air and on
what holds it mechanically:

    held by a pin or brake -> it stands | no air -> its fall-back | else what the spool says

A single solenoid's spring puts the spool home. A double solenoid leaves it where it was last sent, also without current.
In the centre a 5/3 valve shuts both ports (closed: the piston stands) or vents both (open: as without air).
Source: symbols and functions of ISO 1219-1; common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from seqcheck.plant.travel import Condition

SINGLE, DOUBLE, CLOSED_CENTRE, OPEN_CENTRE = (
    "single solenoid",
    "double solenoid",
    "closed centre",
    "open centre",
)
VALVES = (SINGLE, DOUBLE, CLOSED_CENTRE, OPEN_CENTRE)

OUT, HOME, CENTRE = "out", "home", "centre"
HELD, LOOSE, FED = "held", "loose", "fed"
"""What acts on the piston besides the spool: it is held, it has no air, or it is fed."""

COILS = ("output", "opposite")
AIR, HOLD = "air", "held"
"""Roles of the drives."""


@dataclass(frozen=True, slots=True)
class Case:
    """While `when` holds, the spool goes to `spool` (None: stays) and `feed` acts."""

    when: Condition
    spool: str | None
    feed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spool:
    """A valve of `kind`; whether its air may be lost, and whether something may hold the piston."""

    kind: str
    has_air: bool
    has_hold: bool

    @property
    def roles(self) -> tuple[str, ...]:
        """The drives that its cases speak of."""
        coils = COILS[:1] if self.kind == SINGLE else COILS
        return (*coils, *((AIR,) if self.has_air else ()), *((HOLD,) if self.has_hold else ()))

    def cases(self, *, sticks: bool = False, leaks: bool = False, holds: bool = True) -> tuple[Case, ...]:
        """What follows from the drives; no two cases hold at a time, and one always does.

        `sticks`: the spool does not move. `leaks`: air never arrives. `holds` False: what should hold the piston does not.
        """
        coils = (((), None),) if sticks else self._coils()
        feeds = self._feeds(leaks=leaks, holds=holds)
        return tuple(Case((*on, *fed), spool, feed) for (on, spool), (fed, feed) in product(coils, feeds))

    def _coils(self) -> tuple[tuple[Condition, str | None], ...]:
        out, home = COILS
        if self.kind == SINGLE:
            return ((((out, True),), OUT), (((out, False),), HOME))
        rest = None if self.kind == DOUBLE else CENTRE
        return (
            (((out, True), (home, False)), OUT),
            (((out, False), (home, True)), HOME),
            (((out, False), (home, False)), rest),
            (((out, True), (home, True)), rest),
        )

    def _feeds(self, *, leaks: bool, holds: bool) -> tuple[tuple[Condition, str], ...]:
        held: tuple[tuple[Condition, str], ...] = ()
        unheld: Condition = ()
        if self.has_hold and holds:
            held, unheld = ((((HOLD, True),), HELD),), ((HOLD, False),)
        if leaks:
            return (*held, (unheld, LOOSE))
        if not self.has_air:
            return (*held, (unheld, FED))
        return (*held, ((*unheld, (AIR, False)), LOOSE), ((*unheld, (AIR, True)), FED))
