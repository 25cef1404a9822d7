"""Changes of ways: two priorities swapped, a transition led elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from seqcheck.adequacy.change import Change, ChangeKind, InSteps, Subject, Way, ways_of
from seqcheck.language.expression import And
from seqcheck.language.sequence import Sequence


def priority_changes(sequence: Sequence) -> Iterator[Change]:
    """Each transition swapped with the one after it."""
    for way in ways_of(sequence):
        ways = list(way.siblings)
        if way.number + 1 == len(ways):
            continue
        first, second = ways[way.number], ways[way.number + 1]
        ways[way.number], ways[way.number + 1] = second, first
        yield Change(
            kind=ChangeKind.SWAP_PRIORITY,
            place=second.place,
            text=f"the way {way.text} after that to {second.target}",
            owner=way.chart.name,
            touched=InSteps(way.chart.name, frozenset(way.sources)),
            subject=Subject(
                chart=way.chart.name,
                source=way.sources,
                target=first.target,
                term=And(first.place, (first.condition, second.condition)),
                is_alternative=True,
            ),
            sequence=way.reordered(sequence, tuple(ways)),
        )


def target_changes(sequence: Sequence) -> Iterator[Change]:
    """Each transition led to another step: the one after its target in the file, but neither target nor source."""
    for way in ways_of(sequence):
        target = other_target(way)
        if target is None:
            continue
        yield Change(
            kind=ChangeKind.RETARGET,
            place=way.transition.place,
            text=f"the way {way.text} leads to {target}",
            owner=way.chart.name,
            touched=InSteps(way.chart.name, frozenset(way.sources)),
            subject=Subject(
                chart=way.chart.name,
                source=way.sources,
                target=way.transition.target,
                term=way.transition.condition,
                is_alternative=True,
            ),
            sequence=way.changed(sequence, replace(way.transition, target=target)),
        )


def other_target(way: Way) -> str | None:
    """The step that a wrong transition would lead to; None in a chart of one step."""
    names = [step.name for step in way.chart.steps]
    after = names.index(way.transition.target) + 1
    around = (*names[after:], *names[:after])
    avoided = {way.transition.target} | (set(way.sources) if way.group is None else set())
    elsewhere = [name for name in around if name not in avoided]
    back = [name for name in around if name != way.transition.target]
    return next(iter(elsewhere or back), None)
