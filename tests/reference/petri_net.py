"""Time Petri nets and their state-class graph, built on seqcheck's own `BoundsStore`.

The picture: tokens lie in places; a transition with tokens in all its places before it fires between its earliest and
latest time after that began. Merlin's nets, strong semantics, single server, intermediate semantics (a transition goes on
counting only if it is enabled while the tokens of the fired one are taken and not yet given back). Classes are equal
when marking and table are equal; nothing is included in anything.

Source: B. Berthomieu, M. Menasche, IFIP 1983; B. Berthomieu, M. Diaz, IEEE TSE 17(3), 1991.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seqcheck.explore.bounds import NO_BOUND, Bounds, BoundsStore

Marking = tuple[int, ...]
Class = tuple[Marking, Bounds]


@dataclass(frozen=True, slots=True, kw_only=True)
class Transition:
    """A transition: tokens taken (`before`) and given (`after`) by place; `latest` None is no latest time."""

    name: str
    before: dict[str, int]
    after: dict[str, int]
    earliest: int
    latest: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """A net with its tokens at the start."""

    places: tuple[str, ...]
    initial: dict[str, int]
    transitions: tuple[Transition, ...]

    def marking(self, tokens: dict[str, int]) -> Marking:
        """The tokens as a tuple in the order of the places."""
        assert tokens.keys() <= set(self.places)
        return tuple(tokens.get(place, 0) for place in self.places)


@dataclass(slots=True)
class ClassGraph:
    """All classes in the order in which they were found, and all edges (class, transition, class). Built by `explored`."""

    net: Net
    classes: list[Class]
    edges: list[tuple[int, str, int]]

    def markings(self) -> set[Marking]:
        """The markings reached."""
        return {marking for marking, _ in self.classes}

    def tokens(self, number: int) -> dict[str, int]:
        """The places with tokens in one class."""
        return {place: count for place, count in zip(self.net.places, self.classes[number][0], strict=True) if count}

    def count(self, holds: Callable[[dict[str, int]], bool]) -> int:
        """How many classes have a marking in which `holds`."""
        return sum(holds(self.tokens(number)) for number in range(len(self.classes)))


class TooManyClassesError(Exception):
    """The net has more classes than the caller allows; it may be unbounded."""


def enabled(net: Net, marking: Marking) -> tuple[int, ...]:
    """Numbers of the transitions that `marking` enables."""
    return tuple(
        number
        for number, transition in enumerate(net.transitions)
        if _at_least(marking, net.marking(transition.before))
    )


def _at_least(marking: Marking, wanted: Marking) -> bool:
    return all(have >= want for have, want in zip(marking, wanted, strict=True))


def _interval(transition: Transition) -> tuple[int, int]:
    return transition.earliest, NO_BOUND if transition.latest is None else transition.latest


def explored(net: Net, most_classes: int) -> ClassGraph:
    """The graph of all classes, breadth first, transitions in the order of the net.

    Raises TooManyClassesError if there are more than `most_classes`.
    """
    store = BoundsStore()
    first = net.marking(net.initial)
    start = (first, store.initial(tuple(_interval(net.transitions[number]) for number in enabled(net, first))))
    graph = ClassGraph(net, [start], [])
    numbers = {start: 0}
    for source, (marking, bounds) in enumerate(graph.classes):
        for fired in enabled(net, marking):
            after = successor(net, store, marking, bounds, fired)
            if after is None:
                continue
            if after not in numbers:
                numbers[after] = len(graph.classes)
                graph.classes.append(after)
                if len(graph.classes) > most_classes:
                    raise TooManyClassesError
            graph.edges.append((source, net.transitions[fired].name, numbers[after]))
    return graph


def successor(net: Net, store: BoundsStore, marking: Marking, bounds: Bounds, fired: int) -> Class | None:
    """The class after firing transition `fired`, or None if it cannot be the first to fire."""
    before = net.marking(net.transitions[fired].before)
    after = net.marking(net.transitions[fired].after)
    between = tuple(have - taken for have, taken in zip(marking, before, strict=True))
    following = tuple(have + given for have, given in zip(between, after, strict=True))
    was = enabled(net, marking)
    goes_on = set(enabled(net, between)) - {fired}
    pending = enabled(net, following)
    kept = tuple(was.index(number) + 1 if number in was and number in goes_on else 0 for number in pending)
    fresh = tuple(_interval(net.transitions[number]) for number, index in zip(pending, kept, strict=True) if not index)
    outcome = store.fire(bounds, store.recipe(len(was) + 1, was.index(fired) + 1, kept, fresh))
    return None if outcome is None else (following, outcome.bounds)
