"""Which links of a chart are drawn whole, and which are interrupted and name the other end.

In a small chart every link is drawn. In a large one the steps stand in columns, and a link that leads back or into another
column ends in the name of its target; drawn whole, those links would be longer than all others together.
Source: IEC 60848, directed links: one that has to be interrupted names its destination (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.language.sequence import Chart

MOST_STEPS_LINKED = 10
"""Steps. A chart with at most as many fits a page with all its links."""

LONGEST_COLUMN = 7
"""Steps under each other. With more, the text on an A3 page gets smaller than 6 points."""

Targets = dict[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class ChartLinks:
    """`finish` counts the steps in the order in which a depth-first walk leaves them; `column` is where each stands."""

    finish: dict[str, int]
    column: dict[str, int]
    is_small: bool

    def is_whole(self, source: str, target: str) -> bool:
        """Whether the link from step `source` to step `target` is drawn whole."""
        in_column = self.column[source] == self.column[target]
        return self.is_small or (in_column and not self.leads_back(source, target))

    def leads_back(self, source: str, target: str) -> bool:
        """Whether the link closes a loop: without all such links, a chart has none."""
        return self.finish[target] >= self.finish[source]


def chart_links(chart: Chart) -> ChartLinks:
    """The columns of `chart`: each holds the steps of as many successive levels as fit under each other."""
    targets = {step.name: tuple(way.target for way in step.transitions) for step in chart.steps}
    finish = _finish_numbers(chart.initial.name, targets)
    level = _levels(finish, targets)
    levels = max(level.values()) + 1
    columns = -(-levels // LONGEST_COLUMN)
    height = -(-levels // columns)
    return ChartLinks(
        finish=finish,
        column={name: own // height for name, own in level.items()},
        is_small=len(chart.steps) <= MOST_STEPS_LINKED,
    )


def _finish_numbers(initial: str, targets: Targets) -> dict[str, int]:
    """When a depth-first walk from `initial`, then from what it has not met, leaves each step.

    A link leads back if and only if its target is left no earlier than its source.
    """
    finish: dict[str, int] = {}
    seen: set[str] = set()
    waiting = [(name, False) for name in (*reversed(targets), initial)]
    while waiting:
        name, is_left = waiting.pop()
        if is_left:
            finish[name] = len(finish)
        elif name not in seen:
            seen.add(name)
            waiting.append((name, True))
            waiting.extend((target, False) for target in reversed(targets[name]))
    return finish


def _levels(finish: dict[str, int], targets: Targets) -> dict[str, int]:
    """The most steps that links without a way back lead through before each step."""
    level = dict.fromkeys(finish, 0)
    for name in sorted(finish, key=lambda step: -finish[step]):
        for target in targets[name]:
            if finish[target] < finish[name]:
                level[target] = max(level[target], level[name] + 1)
    return level
