"""The drawing of a chart: steps as boxes, transitions as bars under their conditions, from top to bottom.

A number before a condition is its priority, where a step has more than one way out. `any step but ...` is one box
with its own bars instead of a link from every step, because those links would hide all others.
Source: IEC 60848 (step, initial step with a double frame, bar of a transition); the box for any step is our own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import count

from seqcheck.diagrams.chart_links import ChartLinks, chart_links
from seqcheck.diagrams.condition_lines import condition_lines, packed, sentence_lines
from seqcheck.diagrams.drawing import Drawing, Edge, Lines, Node, NodeKind
from seqcheck.diagrams.hazard import Hazards, hazard_text
from seqcheck.language.sequence import Action, Chart, CommonTransitions, Sequence, Step, Transition
from seqcheck.quantities.time import format_time

LEGEND = (
    "Double frame: initial step. Bar: transition, under its condition.",
    "Number: priority among the ways out of a step; 1/2 depends on the step.",
    "Dashed frame: from any step but those named, tried before the step's own ways out.",
    "Thick frame and (!): drives a device that can hurt somebody.",
)

WIDEST_LIST = 30
"""Characters of a line in the list of excepted steps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """A transition as drawn. `tail`: the key of the box it leaves. `priorities`: none if it is the only way out.

    `is_whole`: linked to its target's box; if not, to the target's name. `leads_back`: closes a loop.
    """

    number: int
    tail: str
    transition: Transition
    priorities: tuple[int, ...]
    is_whole: bool
    leads_back: bool = False

    @property
    def key(self) -> str:
        """The key of the bar."""
        return f"transition {self.number}"

    @property
    def head(self) -> str:
        """The key of what the bar leads to."""
        return _step_key(self.transition.target) if self.is_whole else f"to {self.number}"


def chart_drawing(chart: Chart, sequence: Sequence, hazards: Hazards) -> Drawing:
    """The drawing of `chart`; `hazards` says which outputs are marked."""
    ways = _ways(chart)
    return Drawing(
        name=f"{chart.name} chart",
        title=(f"Chart {chart.name}", f"{sequence.name}, revision {sequence.revision}"),
        legend=LEGEND,
        page="upright" if chart_links(chart).is_small else "across",
        nodes=(
            *_boxes(chart, hazards),
            *(node for way in ways for node in _way_nodes(way, chart)),
            *_origins(chart, ways),
        ),
        edges=(*(edge for way in ways for edge in _way_edges(way)), *_origin_edges(chart, ways)),
    )


def _boxes(chart: Chart, hazards: Hazards) -> tuple[Node, ...]:
    # The initial step stands first: the layout puts first what is named first, as far as links allow.
    ordered = sorted(chart.steps, key=lambda step: not step.initial)
    steps = (_step_node(step, hazards) for step in ordered)
    return (*steps, *(_any_step_node(index, group) for index, group in enumerate(chart.common)))


def _step_key(name: str) -> str:
    return f"step {name}"


def _any_step_key(index: int) -> str:
    return f"any step {index + 1}"


def _ways(chart: Chart) -> tuple[_Way, ...]:
    """Every transition once, those from any step first; their numbers only tell them apart."""
    numbers = count(1)
    common = (way for index in range(len(chart.common)) for way in _common_ways(chart, index, numbers))
    links = chart_links(chart)
    own = (way for step in chart.steps for way in _own_ways(chart, step, links, numbers))
    return (*common, *own)


def _common_ways(chart: Chart, index: int, numbers: Iterator[int]) -> Iterator[_Way]:
    for offset, transition in enumerate(chart.common[index].transitions):
        yield _Way(
            number=next(numbers),
            tail=_any_step_key(index),
            transition=transition,
            priorities=_common_priorities(chart, index, offset),
            is_whole=True,
        )


def _own_ways(chart: Chart, step: Step, links: ChartLinks, numbers: Iterator[int]) -> Iterator[_Way]:
    every = len(chart.transitions_of(step))
    first = every - len(step.transitions) + 1
    for priority, transition in enumerate(step.transitions, start=first):
        yield _Way(
            number=next(numbers),
            tail=_step_key(step.name),
            transition=transition,
            priorities=(priority,) if every > 1 else (),
            is_whole=links.is_whole(step.name, transition.target),
            leads_back=links.leads_back(step.name, transition.target),
        )


def _common_priorities(chart: Chart, index: int, offset: int) -> tuple[int, ...]:
    """The places that the transition takes among the ways out of the steps it stands for: mostly one place."""
    covered = [step for step in chart.steps if step.name not in chart.common[index].excepted]
    if all(len(chart.transitions_of(step)) == 1 for step in covered):
        return ()
    before = {_ways_before(chart, index, step) for step in covered}
    return tuple(sorted(ways + offset + 1 for ways in before))


def _ways_before(chart: Chart, index: int, step: Step) -> int:
    return sum(len(group.transitions) for group in chart.common[:index] if step.name not in group.excepted)


def _step_node(step: Step, hazards: Hazards) -> Node:
    actions = tuple(_action_line(action, hazards) for action in step.actions)
    sections = ((step.name,), actions, _watchdog_lines(step), _prompt_lines(step))
    return Node(
        key=_step_key(step.name),
        kind=NodeKind.STEP,
        sections=tuple(lines for lines in sections if lines),
        is_initial=step.initial,
        is_hazard=any(action.variable in hazards for action in step.actions),
    )


def _action_line(action: Action, hazards: Hazards) -> str:
    time = "" if action.time_us is None else f" {format_time(action.time_us)}"
    sign = f"  {hazard_text(hazards[action.variable])}" if action.variable in hazards else ""
    return f"{action.qualifier}{time}  {action.variable}{sign}"


def _watchdog_lines(step: Step) -> Lines:
    if step.watchdog is None:
        return ()
    return (f"within {format_time(step.watchdog.limit_us)}, else {step.watchdog.alarm}",)


def _prompt_lines(step: Step) -> Lines:
    return () if step.prompt is None else sentence_lines(f"prompt: {step.prompt}")


def _any_step_node(index: int, group: CommonTransitions) -> Node:
    lines: Lines = ("any step",)
    if group.excepted:
        lines = ("any step but", *packed(_listed(group.excepted), WIDEST_LIST))
    return Node(key=_any_step_key(index), kind=NodeKind.ANY_STEP, sections=(lines,))


def _way_nodes(way: _Way, chart: Chart) -> Iterator[Node]:
    numbers = "/".join(str(priority) for priority in way.priorities)
    lines = condition_lines(way.transition.condition, chart.name, f"{numbers}:  " if numbers else "")
    yield Node(key=way.key, kind=NodeKind.TRANSITION, sections=(lines,))
    if not way.is_whole:
        yield _reference(way.head, f"to {way.transition.target}")


def _way_edges(way: _Way) -> tuple[Edge, Edge]:
    return (
        Edge(tail=way.tail, head=way.key, has_arrow=False),
        Edge(tail=way.key, head=way.head, leads_back=way.is_whole and way.leads_back),
    )


def _origins(chart: Chart, ways: Iterable[_Way]) -> Iterator[Node]:
    for step, sources in _interrupted(chart, ways).items():
        yield _reference(f"from {step}", "from", *packed(_listed(sources), WIDEST_LIST))


def _origin_edges(chart: Chart, ways: Iterable[_Way]) -> Iterator[Edge]:
    for step in _interrupted(chart, ways):
        yield Edge(tail=f"from {step}", head=_step_key(step))


def _interrupted(chart: Chart, ways: Iterable[_Way]) -> dict[str, tuple[str, ...]]:
    """Every step that interrupted links lead to, and where these come from."""
    names = {_step_key(step.name): step.name for step in chart.steps}
    found: dict[str, dict[str, None]] = {}
    for way in ways:
        if not way.is_whole:
            found.setdefault(way.transition.target, {})[names[way.tail]] = None
    return {step: tuple(sources) for step, sources in found.items()}


def _reference(key: str, *lines: str) -> Node:
    return Node(key=key, kind=NodeKind.REFERENCE, sections=(lines,))


def _listed(names: Iterable[str]) -> tuple[str, ...]:
    *first, last = names
    return (*(f"{name}," for name in first), last)
