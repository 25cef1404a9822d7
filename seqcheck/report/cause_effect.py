"""Cause and effect: each safety input against each output and hazard, with the worst reaction time, nothing having failed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Reaction(Enum):
    """What a cause does to an effect that was on."""

    STOPS = "stops"
    """It is off in every run, at the latest after `worst_us`."""
    MAY_STAY = "may stay on"
    """In some run it is still on when the time looked at is over."""
    NEVER_ON = "never on"
    """It is never on when the cause comes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A safety input. `condition` is the truth that comes to hold, such as `stop.is_pressed`; `text` says it in words.

    `kind`: "guard", "emergency stop", "light curtain", "web break", "energy" (air or power through a circuit).
    """

    name: str
    kind: str
    condition: str
    text: str
    by_failure: str = ""
    """Where only a failure can bring it about (`safety.lost`, `web.breaks`), that failure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """An output (`knife_fire`), a motion (`knife.is_moving`) or energy (`safety.is_on`)."""

    name: str
    kind: str
    is_hazardous: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseEffectCell:
    """How one cause acts on one effect. `by_bound`: the time rests on a bound that the model widened."""

    cause: str
    effect: str
    reaction: Reaction
    worst_us: int | None
    by_bound: bool
    requirements: tuple[str, ...] = ()
    """Requirements that ask for this reaction."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseEffect:
    """All causes, effects and cells (cause by cause). `given` says what people were taken to do; `horizon_us`: longest time
    looked at."""

    causes: tuple[Cause, ...]
    effects: tuple[Effect, ...]
    cells: tuple[CauseEffectCell, ...]
    given: str
    horizon_us: int

    def cell(self, cause: str, effect: str) -> CauseEffectCell:
        """The cell of a cause and an effect."""
        return next(cell for cell in self.cells if (cell.cause, cell.effect) == (cause, effect))
