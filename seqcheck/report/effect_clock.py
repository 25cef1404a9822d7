"""A clock that runs from a cause: notes when each effect that was on goes off for the first time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seqcheck.kernel.event import Mark, Pending
from seqcheck.kernel.state import State, WatchState
from seqcheck.kernel.watch import Glance, Noticed, Remembering

DONE = -1
"""Every effect is off."""
TOO_LONG = -2
"""The longest time looked at has passed while something was on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectClock(Remembering):
    """Begun by hand (`begun`). Its state is the mask of effects that are still on since the cause; `effects` gives those on now."""

    effects: Callable[[State], int]
    age: Pending
    index: int = 0
    requirement: str = "cause"

    def start(self) -> WatchState:
        """Never started by itself."""
        return 0

    def begun(self, before: State, after: State) -> tuple[int, int]:
        """The state of the clock when the cause has just come, and the effects that go off in that very instant."""
        still = self.effects(before) & self.effects(after)
        return still or DONE, self.effects(before) & ~self.effects(after)

    def look(self, state: WatchState, glance: Glance) -> Noticed:
        """Note the effects that go off."""
        assert isinstance(state, int)
        if state <= 0:
            return state, (), ()
        if glance.over == self.age.key:
            return TOO_LONG, (), ()
        still = state & self.effects(glance.after)
        marks = tuple(
            Mark(number, "ended", (self.age.key,)) for number in range(state.bit_length()) if (state & ~still) >> number & 1
        )
        return still or DONE, marks, ()

    def pending(self, state: WatchState) -> tuple[Pending, ...]:
        """The age, while anything is on."""
        assert isinstance(state, int)
        return (self.age,) if state > 0 else ()
