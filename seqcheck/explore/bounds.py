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

from operator import ge
from typing import NamedTuple

NO_BOUND = 1 << 60
"""Microseconds; stands for "no latest time". Far above any sum of limits (36,000 years), so sums stay recognisable."""


class Recipe:
    """What a firing does to a table, apart from its values. Equal recipes are one object (`BoundsStore.recipe`).

    `fired` is the index of the fired event, 0 for a free one. `kept` has an entry for each pending event afterwards: the
    index it had before if it goes on counting, 0 if it is new; bounds of new ones come from `fresh` in order: (earliest,
    latest). `measured` are pairs of indices (i, j) whose greatest difference at the moment of firing is asked for, where 0
    stands for that moment.
    """

    __slots__ = ("fired", "fresh", "going_on", "kept", "measured")

    def __init__(
        self,
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
        self.going_on = tuple(index for index in kept if index)


class Fired(NamedTuple):
    """The outcome of a firing: the table after it, and the values measured at the moment of firing."""

    bounds: Bounds
    measures: tuple[int, ...]


class Bounds:
    """A canonical table, kept once. `size` counts the zero row. Never changed; `fired` only remembers."""

    __slots__ = ("cells", "fired", "size", "smallest", "total")

    def __init__(self, size: int, cells: tuple[int, ...]) -> None:
        """Only `BoundsStore` makes tables."""
        self.size = size
        self.cells = cells
        self.total = sum(cells)
        # Column minima over the events: at the moment of firing nobody's remaining time is below the fired one's.
        self.smallest = tuple(min(cells[column + size :: size], default=0) for column in range(size))
        self.fired: dict[Recipe, Fired | None] = {}

    def includes(self, other: Bounds) -> bool:
        """Whether every timing that `other` allows is allowed here (tables of the same state)."""
        if self is other:
            return True
        if self.total < other.total:
            return False
        return all(map(ge, self.cells, other.cells))

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

    def recipe(
        self,
        fired: int,
        kept: tuple[int, ...],
        fresh: tuple[tuple[int, int], ...],
        measured: tuple[tuple[int, int], ...] = (),
    ) -> Recipe:
        """The one recipe with these parts."""
        identity = (fired, kept, fresh, measured)
        return self._recipes.setdefault(identity, Recipe(*identity))

    def __len__(self) -> int:
        """How many different tables there are."""
        return len(self._known)

    def initial(self, intervals: tuple[tuple[int, int], ...]) -> Bounds:
        """Independent events that have all just become pending."""
        return self._keep([0], 1, intervals)

    def table(self, size: int, cells: tuple[int, ...]) -> Bounds:
        """The table with these canonical cells, as another search has worked them out."""
        return self._intern(size, cells)

    def fire(self, bounds: Bounds, recipe: Recipe) -> Fired | None:
        """The table after a firing, or None if the event cannot be the next to fire."""
        try:
            return bounds.fired[recipe]
        except KeyError:
            outcome = self._fire(bounds, recipe)
            bounds.fired[recipe] = outcome
            return outcome

    def _fire(self, bounds: Bounds, recipe: Recipe) -> Fired | None:
        fired = recipe.fired
        if fired and bounds.smallest[fired] < 0:
            return None
        measures = tuple(self._measure(bounds, fired, first, second) for first, second in recipe.measured)
        kept = recipe.going_on
        cells = self._moved_origin(bounds, fired, kept)
        if not recipe.fresh:
            return Fired(self._intern(len(kept) + 1, tuple(cells)), measures)
        after = self._keep(cells, len(kept) + 1, recipe.fresh)
        return Fired(self._reorder(after, recipe.kept), measures)

    @staticmethod
    def _bound(bounds: Bounds, fired: int, first: int, second: int) -> int:
        """Greatest (first - second) at the moment of firing, where 0 stands for that moment."""
        size, cells, smallest = bounds.size, bounds.cells, bounds.smallest
        if fired:
            first = first or fired
            second = second or fired
            return min(cells[first * size + second], cells[first * size + fired] + smallest[second])
        if first and not second:
            return cells[first * size]
        if second and not first:
            return smallest[second]
        return cells[first * size + second]

    def _measure(self, bounds: Bounds, fired: int, first: int, second: int) -> int:
        return 0 if first == second else self._bound(bounds, fired, first, second)

    def _moved_origin(self, bounds: Bounds, fired: int, kept: tuple[int, ...]) -> list[int]:
        """The table of the kept events, with the moment of firing as its zero."""
        if not fired:
            return self._after_delay(bounds, kept)
        size, cells, smallest = bounds.size, bounds.cells, bounds.smallest
        order = (fired, *kept)
        moved = []
        for row in order:
            base = row * size
            through = cells[base + fired]
            for column in order:
                direct = cells[base + column]
                around = through + smallest[column]
                moved.append(direct if direct <= around else around)
        for diagonal in range(len(order)):
            moved[diagonal * (len(order) + 1)] = 0
        return moved

    def _after_delay(self, bounds: Bounds, kept: tuple[int, ...]) -> list[int]:
        """The same after any delay that no latest time forbids: a free event may come at any moment."""
        size, cells = bounds.size, bounds.cells
        moved = [0, *(bounds.smallest[column] for column in kept)]
        for row in kept:
            base = row * size
            moved.append(cells[base])
            moved.extend(cells[base + column] for column in kept)
        return moved

    def _keep(self, cells: list[int], size: int, fresh: tuple[tuple[int, int], ...]) -> Bounds:
        """Add independent new events after those in `cells`."""
        column = [cells[row * size] for row in range(size)] + [latest for _, latest in fresh]
        row = cells[:size] + [-earliest for earliest, _ in fresh]
        grown = size + len(fresh)
        table = []
        for first in range(grown):
            for second in range(grown):
                if first < size and second < size:
                    table.append(cells[first * size + second])
                elif first == second:
                    table.append(0)
                else:
                    table.append(_sum(column[first], row[second]))
        return self._intern(grown, tuple(table))

    def _reorder(self, bounds: Bounds, kept: tuple[int, ...]) -> Bounds:
        """Put new events (zeros in `kept`) where they belong in the order of pending events."""
        old = 1
        new = 1 + sum(1 for index in kept if index)
        order = [0]
        for index in kept:
            if index:
                order.append(old)
                old += 1
            else:
                order.append(new)
                new += 1
        size = bounds.size
        if order == list(range(size)):
            return bounds
        cells = tuple(bounds.cells[row * size + column] for row in order for column in order)
        return self._intern(size, cells)

    def _intern(self, size: int, cells: tuple[int, ...]) -> Bounds:
        if max(cells) > NO_BOUND // 2:
            cells = tuple(NO_BOUND if cell > NO_BOUND // 2 else cell for cell in cells)
        found = self._known.get(cells)
        if found is None:
            found = self._known.setdefault(cells, Bounds(size, cells))
        return found


def _sum(first: int, second: int) -> int:
    return NO_BOUND if first >= NO_BOUND // 2 else first + second
