"""Difference bounds: what is known about the remaining times of the pending events of a state.

The picture: a square table. Row i, column j holds the greatest value of (remaining i) - (remaining j); index 0 stands for
the constant zero, so column 0 holds latest times and row 0 holds negated earliest times. A table is *canonical* when no bound
can be tightened through a third one. Firing the event f (nobody else is due sooner) moves the origin to f and drops it.

Source: B. Berthomieu, M. Menasche, "An enumerative approach for analyzing time Petri nets", IFIP 1983; B. Berthomieu,
M. Diaz, IEEE TSE 17(3), 1991. Canonical form by all-pairs shortest paths; the firing rule below keeps it in O(n^2).

Equal tables are one object (`BoundsStore`), so that comparing is looking, and every operation on the same operands is done
once: a table remembers what it has been turned into.
"""

from __future__ import annotations

from operator import ge, itemgetter
from typing import NamedTuple

NO_BOUND = 1 << 60
"""Microseconds; stands for "no latest time". Far above any sum of limits (36,000 years), so sums stay recognisable."""

_HALF = NO_BOUND // 2


class Recipe:
    """What a firing does to a table, apart from its values. Equal recipes are one object (`BoundsStore.recipe`).

    `fired` is the index of the fired event, 0 for a free one. `kept` has an entry for each pending event afterwards: the
    index it had before if it goes on counting, 0 if it is new; bounds of new ones come from `fresh` in order: (earliest,
    latest). `measured` are pairs of indices (i, j) whose greatest difference at the moment of firing is asked for, where 0
    stands for that moment. `order` are the old rows that make the new table, the one that becomes zero first.
    """

    __slots__ = ("fired", "fresh", "kept", "measured", "order", "pick", "pick_row", "slots")

    def __init__(
        self,
        size: int,
        fired: int,
        kept: tuple[int, ...],
        fresh: tuple[tuple[int, int], ...],
        measured: tuple[tuple[int, int], ...],
    ) -> None:
        """Only `BoundsStore` makes recipes."""
        self.fired = fired
        self.kept = kept
        self.fresh = fresh
        self.measured = measured
        self.order = (fired, *(index for index in kept if index))
        self.pick_row = _picker(self.order)
        self.pick = _picker(tuple(row * size + column for row in self.order for column in self.order))
        self.slots = (0, *(place + 1 for place, index in enumerate(kept) if index))


def _picker(indices: tuple[int, ...]):  # type: ignore[no-untyped-def]
    if len(indices) == 1:
        only = indices[0]
        return lambda cells: (cells[only],)
    return itemgetter(*indices)


class Fired(NamedTuple):
    """The outcome of a firing: the table after it, and the values measured at the moment of firing."""

    bounds: Bounds
    measures: tuple[int, ...]


class Bounds:
    """A canonical table, kept once. `size` counts the zero row. Never changed; `fired` only remembers.

    `smallest` are column minima over the events: at the moment of firing nobody's remaining time is below the fired one's.
    An event whose minimum is negative cannot be the next to fire; `possible` are the rows of those that can, and at last 0
    for free events, which always can.
    """

    __slots__ = ("cells", "fired", "possible", "size", "smallest", "total")

    def __init__(self, size: int, cells: tuple[int, ...]) -> None:
        """Only `BoundsStore` makes tables."""
        self.size = size
        self.cells = cells
        self.total = sum(cells)
        rows = [cells[start : start + size] for start in range(size, size * size, size)]
        smallest = rows[0] if len(rows) == 1 else tuple(map(min, *rows)) if rows else (0,)
        self.smallest = (0, *smallest[1:])
        self.possible = (*(row for row in range(1, size) if self.smallest[row] >= 0), 0)
        self.fired: dict[Recipe, Fired] = {}

    def includes(self, other: Bounds) -> bool:
        """Whether every timing that `other` allows is allowed here (tables of the same state)."""
        return self is other or all(map(ge, self.cells, other.cells))

    def latest(self, index: int) -> int:
        """The greatest remaining time of event `index`."""
        return self.cells[index * self.size]

    def earliest(self, index: int) -> int:
        """The least remaining time of event `index`."""
        return -self.cells[index]


class BoundsStore:
    """All tables of a search; equal ones are one object. Mutable; owned by one search in one process."""

    def __init__(self) -> None:
        """Start with no table."""
        self._known: dict[tuple[int, ...], Bounds] = {}
        self._recipes: dict[object, Recipe] = {}
        self.recipes: dict[object, Recipe] = {}
        """By what a search asks for; see node.py."""

    def __len__(self) -> int:
        """How many different tables there are."""
        return len(self._known)

    def forget(self) -> None:
        """Let go of all tables; those that a search still holds stay valid, but remember nothing."""
        for bounds in self._known.values():
            bounds.fired.clear()
        self._known.clear()
        self.recipes.clear()

    def recipe(
        self,
        size: int,
        fired: int,
        kept: tuple[int, ...],
        fresh: tuple[tuple[int, int], ...],
        measured: tuple[tuple[int, int], ...] = (),
    ) -> Recipe:
        """The one recipe with these parts, for tables of `size` rows."""
        identity = (size, fired, kept, fresh, measured)
        known = self._recipes.get(identity)
        if known is None:
            known = self._recipes[identity] = Recipe(*identity)
        return known

    def initial(self, intervals: tuple[tuple[int, int], ...]) -> Bounds:
        """Independent events that have all just become pending."""
        return self._grown((0,), (0,), len(intervals) + 1, intervals)

    def table(self, size: int, cells: tuple[int, ...]) -> Bounds:
        """The table with these canonical cells, as another search has worked them out."""
        return self._intern(size, cells)

    def fire(self, bounds: Bounds, recipe: Recipe) -> Fired | None:
        """The table after a firing, or None if the event cannot be the next to fire."""
        if bounds.smallest[recipe.fired] < 0:
            return None
        known = bounds.fired.get(recipe)
        if known is None:
            known = bounds.fired[recipe] = self.fire_possible(bounds, recipe)
        return known

    def fire_possible(self, bounds: Bounds, recipe: Recipe) -> Fired:
        """The table after a firing that is known to be possible; worked out anew."""
        measures = tuple([self._bound(bounds, recipe.fired, *pair) for pair in recipe.measured])
        moved = _moved_origin(bounds, recipe) if recipe.fired else _after_delay(bounds, recipe)
        size = len(recipe.kept) + 1
        if not recipe.fresh:
            return Fired(self._intern(size, tuple(moved)), measures)
        return Fired(self._grown(moved, recipe.slots, size, recipe.fresh), measures)

    @staticmethod
    def _bound(bounds: Bounds, fired: int, first: int, second: int) -> int:
        """Greatest (first - second) at the moment of firing, where 0 stands for that moment."""
        size, cells, smallest = bounds.size, bounds.cells, bounds.smallest
        first, second = first or fired, second or fired
        if first == second:
            return 0
        if fired:
            return min(cells[first * size + second], cells[first * size + fired] + smallest[second])
        return smallest[second] if first == 0 else cells[first * size + second]

    def _grown(
        self, cells: tuple[int, ...] | list[int], slots: tuple[int, ...], size: int, fresh: tuple[tuple[int, int], ...]
    ) -> Bounds:
        """A table of `size` rows: the rows of `cells` at `slots`, independent new events in between."""
        old = len(slots)
        column, row = [0] * size, [0] * size
        for place, slot in enumerate(slots):
            column[slot] = cells[place * old]
            row[slot] = cells[place]
        free = [place for place in range(1, size) if place not in slots]
        for place, (earliest, latest) in zip(free, fresh, strict=True):
            column[place], row[place] = latest, -earliest
        table = [above + beside for above in column for beside in row]
        for place, slot in enumerate(slots):
            for other, target in enumerate(slots):
                table[slot * size + target] = cells[place * old + other]
        for place in free:
            table[place * (size + 1)] = 0
        return self._intern(size, tuple(table))

    def _intern(self, size: int, cells: tuple[int, ...]) -> Bounds:
        found = self._known.get(cells)
        if found is None:
            if max(cells) > _HALF and any(_HALF < cell != NO_BOUND for cell in cells):
                return self._intern(size, tuple(NO_BOUND if cell > _HALF else cell for cell in cells))
            found = self._known[cells] = Bounds(size, cells)
        return found


def _moved_origin(bounds: Bounds, recipe: Recipe) -> list[int]:
    """The table of the kept events with the moment of firing as its zero.

    A bound may be tightened through the fired event, since nobody is due before it.
    """
    size, fired, cells = bounds.size, recipe.fired, bounds.cells
    through = [cells[row * size + fired] for row in recipe.order]
    smallest = recipe.pick_row(bounds.smallest)
    around = [first + second for first in through for second in smallest]
    moved = [direct if direct < other else other for direct, other in zip(recipe.pick(cells), around, strict=True)]
    moved[:: len(recipe.order) + 1] = [0] * len(recipe.order)
    return moved


def _after_delay(bounds: Bounds, recipe: Recipe) -> list[int]:
    """The same after any delay that no latest time forbids: a free event may come at any moment."""
    moved = list(recipe.pick(bounds.cells))
    moved[: len(recipe.order)] = recipe.pick_row(bounds.smallest)
    return moved
