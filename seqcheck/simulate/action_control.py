"""What drives an output, flag or alarm: the action control of IEC 61131-3, written from its block diagram.

Q = not R and (N or S or (L and not L for T) or (D for T) or P or (stored SD for T) or stored DS or (stored SL
and not for T)). A stored qualifier is set by its step and reset by R only; a stored time runs from the moment
it was set.
Source: IEC 61131-3, action qualifiers and action control function block (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from seqcheck.language.sequence import Action
from seqcheck.simulate.interpreter import Moment, Stopwatch


@dataclass(slots=True)
class ActionState:
    """One action of one step. `clock` runs for what has a time. Mutable; owned by the action control."""

    step: str
    action: Action
    clock: Stopwatch = field(default_factory=Stopwatch)
    is_stored: bool = False

    def drives(self, is_active: bool, is_entered: bool, moment: Moment) -> bool:
        """Whether it turns its variable on in this read."""
        self._keep_time(is_active, is_entered, moment)
        is_over = self.clock.has_reached(self.action.time_us or 0, moment)
        match self.action.qualifier:
            case "N":
                return is_active
            case "P":
                return is_entered
            case "S":
                self.is_stored = self.is_stored or is_active
                return self.is_stored
            case "L":
                return is_active and not is_over
            case "D":
                return is_active and is_over
            case "SL":
                return self.is_stored and not is_over
            case "SD":
                return self.is_stored and is_over
            case _:  # DS
                self.is_stored = self.is_stored or (is_active and is_over)
                return self.is_stored

    def _keep_time(self, is_active: bool, is_entered: bool, moment: Moment) -> None:
        if self.action.qualifier in ("SD", "SL"):
            if is_active and not self.is_stored:
                self.is_stored = True
                self.clock.start(moment)
        elif is_entered:
            self.clock.start(moment)
        elif not is_active:
            self.clock.stop()

    def reset(self) -> None:
        """R: nothing is stored any more."""
        self.is_stored = False
        if self.action.qualifier in ("SD", "SL"):
            self.clock.stop()


@dataclass(slots=True)
class ActionControl:
    """All actions on one variable. Mutable; owned by the chart machines."""

    actions: tuple[ActionState, ...]

    def power_up(self, active: frozenset[str]) -> None:
        """Times of the initial steps run from power-up."""
        start = Moment(0, 0)
        for part in self.actions:
            if part.step in active:
                part.drives(True, True, start)

    def value(self, active: frozenset[str], entered: frozenset[str], moment: Moment) -> bool:
        """Whether the variable is on in this read."""
        is_reset = any(part.action.qualifier == "R" and part.step in active for part in self.actions)
        driven = [
            part.drives(part.step in active, part.step in entered, moment)
            for part in self.actions
            if part.action.qualifier != "R"
        ]
        if is_reset:
            for part in self.actions:
                part.reset()
        return any(driven) and not is_reset
