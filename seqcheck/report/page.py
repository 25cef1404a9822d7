"""The page of a review: one HTML file that needs nothing else.

Every text of the file goes through the template engine's escaping. What is put in as it is was made here: style and script of the
package, drawings whose texts the DOT writer and the renderer have escaped, and data for the script in which no `<` is left.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from seqcheck.check.measure_text import nearest_text
from seqcheck.check.outcome import WitnessLine
from seqcheck.quantities.time import format_time
from seqcheck.reader.findings import Finding
from seqcheck.report.fault_table import FaultRow, FaultTable
from seqcheck.report.interlock_matrix import Permissive
from seqcheck.report.machine_scene import MachineScene, machine_scene
from seqcheck.report.page_drawings import PageDrawing
from seqcheck.report.replay_runs import ReplayRuns
from seqcheck.report.review import Review

MOST_COLUMNS = 8
"""Permissives beside each other: more do not fit an upright A4 page."""

MARKS = {"holds": "[ok]", "violated": "[!!]", "vacuous": "[--]", "undecided": "[??]"}

CONTENTS = (
    ("summary", "What was found"),
    ("assumed", "What was assumed"),
    ("matrix", "Interlock matrix"),
    ("faults", "Fault table"),
    ("trouble", "Troubleshooting"),
    ("effects", "Cause and effect"),
    ("safety", "Safety calculations"),
    ("runs", "Runs and replay"),
    ("drawings", "Diagrams"),
    ("sign", "Sign-off"),
)


@dataclass(frozen=True, slots=True)
class _FailureRows:
    """The rows of one failure: steps in which all is the same, with what happens there. `steps`: how many in all."""

    name: str
    meaning: str
    steps: int
    rows: tuple[tuple[tuple[str, ...], FaultRow], ...]


def review_page(review: Review, runs: ReplayRuns, drawings: tuple[PageDrawing, ...]) -> str:
    """The HTML text of `review`, with its runs to play and its drawings."""
    environment = _environment()
    scene = machine_scene(review.sequence)
    head = review.head
    verdicts = (head.holding, head.violated, head.vacuous, head.undecided)
    return environment.get_template("page.html.j2").render(
        head=head,
        outcome=review.outcome,
        matrix=review.matrix,
        matrix_columns=_columns(review.matrix.permissives),
        faults=review.faults,
        failures=_failures(review.faults),
        prompts=tuple(dict.fromkeys(prompt for row in review.faults.rows for prompt in row.prompts)),
        has_web=any(row.web_drawn_m is not None for row in review.faults.rows),
        trouble=review.troubleshooting,
        effects=review.cause_effect,
        safety=review.safety,
        runs=runs,
        drawings=[(_shown(drawing)) for drawing in drawings],
        summary=tuple(zip(MARKS, verdicts, strict=True)),
        marks=MARKS,
        contents=CONTENTS,
        scene=scene,
        machine=Markup(environment.get_template("machine.svg.j2").render(scene=scene)),
        css=Markup(_package_text("page.css")),
        script=Markup(_package_text("player.js")),
        replay_json=Markup(replay_json(review, runs, scene)),
    )


def replay_json(review: Review, runs: ReplayRuns, scene: MachineScene) -> str:
    """The data of the player, as JSON that may stand inside a script element."""
    charts = review.sequence.charts
    steps = {chart.name: len(chart.steps) for chart in charts}
    main = review.faults.main_chart if review.faults.main_chart in steps else max(steps, key=lambda name: steps[name])
    roll = review.sequence.machine.roll
    data = {
        "main_chart": main,
        "scene": asdict(scene) | {"web_y": scene.web_y, "roll_m": None if roll is None else roll.outside_mm / 1000},
        "replays": [asdict(replay) for replay in runs.replays],
    }
    text = json.dumps(data, separators=(",", ":"))
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")


def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("seqcheck.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(
        time=format_time,
        anchor=anchor,
        nearest=nearest_text,
        sentence=_sentence,
        possible=_possible,
        breaks=_breaks,
        names=_names,
        opening=_opening,
    )
    return environment


def anchor(name: str) -> str:
    """The name as the `id` of an element: letters, digits, `-` and `_`; others as their code, so that no two ids are alike."""
    return re.sub(r"[^A-Za-z0-9-]", lambda found: f"_{ord(found[0]):x}_", name)


def _breaks(text: str) -> Markup:
    """A name that may be broken over lines after each dot and underscore."""
    return Markup(re.sub(r"([._])(?=\w)", r"\1<wbr>", str(escape(text))))


def _names(names: Iterable[str]) -> Markup:
    """Names with commas between them, each of which may be broken."""
    return Markup(", ").join(_breaks(name) for name in names)


def _opening(text: str) -> str:
    """The text as the opening of a sentence."""
    return text[:1].upper() + text[1:]


def _sentence(finding: Finding) -> str:
    return f"{finding.place}: {finding.text}"


def _possible(line: WitnessLine) -> str:
    """When else it can happen in this order of events."""
    if line.latest_us is None:
        return f"{format_time(line.earliest_us)} or later"
    if line.earliest_us == line.latest_us:
        return "fixed"
    return f"{format_time(line.earliest_us)} to {format_time(line.latest_us)}"


def _columns(permissives: tuple[Permissive, ...]) -> list[tuple[Permissive, ...]]:
    """The columns of the matrix, in even parts that fit a page."""
    parts = max(1, -(-len(permissives) // MOST_COLUMNS))
    size = max(1, -(-len(permissives) // parts))
    return [permissives[first : first + size] for first in range(0, len(permissives), size)]


def _failures(faults: FaultTable) -> Iterable[_FailureRows]:
    names = dict.fromkeys(row.failure for row in faults.rows)
    for name in names:
        rows = faults.rows_of(name)
        same: dict[FaultRow, list[FaultRow]] = {}
        for row in rows:
            same.setdefault(replace(row, step="", other_steps=()), []).append(row)
        parts = tuple((tuple(row.step for row in part), part[0]) for part in same.values())
        yield _FailureRows(name, rows[0].meaning, len(rows), parts)


def _shown(drawing: PageDrawing) -> dict[str, Any]:
    return {"title": drawing.title, "chart": drawing.chart, "svg": Markup(drawing.svg)}


def _package_text(name: str) -> str:
    return files("seqcheck.report").joinpath("templates", name).read_text(encoding="utf-8")
