"""A network state with its watches as a search sees it: its pending events, and its edges prepared for fast firing.

All that depends only on the network state is worked out once here; a class adds only its table of bounds.
"""

from __future__ import annotations

from seqcheck.explore.bounds import NO_BOUND, Bounds, BoundsStore, Recipe
from seqcheck.explore.core import CoreNode
from seqcheck.explore.record import measures_of
from seqcheck.kernel.agenda import Agenda
from seqcheck.kernel.event import FREE, Edge, Mark, Pending
from seqcheck.kernel.state import State, WatchState


class Step:
    """One edge out of a node, ready to fire. `was_taken` is set by the search once any class has fired it.

    `failures` are the new ones that happen with it (none: the search goes on in its own layer).
    """

    __slots__ = (
        "acts", "edge", "failures", "kept", "measured_marks", "plain_marks", "recipe", "stops_time", "target", "was_taken",
    )  # fmt: skip

    def __init__(
        self,
        edge: Edge,
        target: Node,
        recipe: Recipe,
        kept: tuple[int, ...],
        marks: tuple[Mark, ...],
        failures: tuple[int, ...],
    ) -> None:
        """Prepare the edge."""
        self.kept = kept
        self.edge = edge
        self.target = target
        self.recipe = recipe
        self.acts = len(edge.event.acts)
        self.plain_marks = self.measured_marks = marks
        if marks:
            self.plain_marks = tuple(mark for mark in marks if not measures_of(mark))
            self.measured_marks = tuple(mark for mark in marks if measures_of(mark))
        self.failures = failures
        self.stops_time = False
        self.was_taken = False


    @property
    def edge_with_watch(self) -> Edge:
        """The edge with the full state it leads to, and all that watches noticed."""
        marks = (*self.plain_marks, *self.measured_marks)
        return self.edge._replace(target=self.target.state, marks=marks, kept=self.kept)


class Node:
    """A network state with the classes found for it. Mutable; owned by one search.

    `cover` are classes of other layers that make classes here needless (see cover.py); None until first needed.
    `steps[0]` are its free edges, `steps[n]` those of the event that has row n in its tables; None until first needed.
    """

    __slots__ = ("agenda", "classes", "core", "cover", "known", "number", "numbers", "steps", "watch")

    def __init__(self, number: int, core: CoreNode, watch: tuple[WatchState, ...], agenda: Agenda) -> None:
        """A node that has not been expanded; `agenda` has the ages of the watches too."""
        self.number = number
        self.core = core
        self.watch = watch
        self.agenda = agenda
        self.known: set[Bounds] = set()
        self.classes: list[Bounds] = []
        self.numbers: list[int] = []
        self.cover: tuple[tuple[Bounds, tuple[int, int]], ...] | None = None
        self.steps: list[tuple[Step, ...] | None] = [None] * (len(agenda.pending) + 1)

    @property
    def state(self) -> State:
        """The full network state."""
        return self.core.state._replace(watch=self.watch)

    def intervals(self) -> tuple[tuple[int, int], ...]:
        """The bounds of each pending event at the moment it becomes pending."""
        return tuple(interval(event) for event in self.agenda.pending)


def interval(event: Pending) -> tuple[int, int]:
    """Earliest and latest, with a number for "no latest"."""
    return event.earliest_us, NO_BOUND if event.latest_us is None else event.latest_us


def recipe_of(
    store: BoundsStore, source: Agenda, key: int, target: Agenda, kept_keys: tuple[int, ...], marks: tuple[Mark, ...]
) -> Recipe:
    """How firing the event `key` turns a table of a node with agenda `source` into one of a node with agenda `target`."""
    identity = (source, key, target, kept_keys, marks)
    known = store.recipes.get(identity)
    if known is None:
        known = store.recipes[identity] = _find_recipe(store, *identity)
    return known


def _find_recipe(
    store: BoundsStore, source: Agenda, key: int, target: Agenda, kept_keys: tuple[int, ...], marks: tuple[Mark, ...]
) -> Recipe:
    position = source.rows
    kept = tuple([position[event.key] if event.key in kept_keys else 0 for event in target.pending])
    fresh = tuple([interval(event) for event in target.pending if event.key not in kept_keys])
    fired = 0 if key == FREE else position[key]
    measured = tuple(
        [
            (position[first] if first else 0, position[second] if second else 0)
            for mark in marks
            for first, second in measures_of(mark)
        ]
    )
    return store.recipe(len(source.pending) + 1, fired, kept, fresh, measured)
