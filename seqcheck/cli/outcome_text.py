"""An outcome as blocks: the table of verdicts first, then what stands behind each, then what was assumed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from seqcheck.check.measure_text import measure_text, nearest_text, value_text, worst_text
from seqcheck.check.outcome import Outcome, RequirementOutcome, Trap
from seqcheck.cli.assumptions import assumption_blocks
from seqcheck.cli.block import Block, Cell, Heading, Lines, Table, Tone, cells, lines
from seqcheck.cli.witness_text import counted, witness_blocks
from seqcheck.requirements.verdict import Verdict

VERDICT_COLUMNS = ("id", "verdict", "under", "given", "judged on", "worst", "limit", "margin", "sentence")

MARKS = {
    Verdict.HOLDS: ("[ok]", Tone.GOOD),
    Verdict.VIOLATED: ("[!!]", Tone.BAD),
    Verdict.VACUOUS: ("[--]", Tone.BAD),
    Verdict.UNDECIDED: ("[??]", Tone.DOUBT),
}
"""Every verdict has a mark and a word; colour adds nothing that they do not say."""


LONGEST_GIVEN = 40
"""Characters of a given in the table; a longer one is told in full under 'Assumed', where it has room."""


def outcome_blocks(outcome: Outcome, below: Mapping[str, tuple[Block, ...]] | None = None) -> tuple[Block, ...]:
    """All that a person is told about one file; the caution is the caller's to add.

    `below` has more to show below the run of a requirement, by its id.
    """
    more = below or {}
    return (
        *_head(outcome),
        *(block for judged in outcome.requirements for block in (*_detail(judged), *more.get(judged.requirement.id, ()))),
        *_measured(outcome),
        *_notes(outcome),
        *(block for number, trap in enumerate(outcome.traps, start=1) for block in _trap(number, trap)),
        *_findings(outcome),
        *assumption_blocks(outcome),
    )


# -- verdicts ------------------------------------------------------------------------------------------------


def _head(outcome: Outcome) -> Iterator[Block]:
    sequence = outcome.sequence
    revision = f", revision {sequence.revision}" if sequence.revision else ""
    yield Heading(f"{sequence.file}: {sequence.name}{revision}")
    if outcome.requirements:
        yield verdict_table(outcome.requirements)
    yield Lines((Cell(summary_text(outcome)),))


def summary_text(outcome: Outcome) -> str:
    """How many requirements have which verdict, and whether the check was stopped."""
    if not outcome.requirements:
        return "The file states no requirement, so none was checked."
    count = Counter(judged.verdict for judged in outcome.requirements)
    parts = ", ".join(f"{count[verdict]} {verdict.value}" for verdict in Verdict if count[verdict])
    stopped = f" The check was stopped: {outcome.stopped}." if outcome.stopped else ""
    return f"{counted(len(outcome.requirements), 'requirement')}: {parts}.{stopped}"


def verdict_table(requirements: tuple[RequirementOutcome, ...]) -> Table:
    """One row a requirement, with the measure that is nearest to its limit."""
    return Table(VERDICT_COLUMNS, tuple(_verdict_row(judged) for judged in requirements))


def _verdict_row(judged: RequirementOutcome) -> tuple[Cell, ...]:
    mark, tone = MARKS[judged.verdict]
    requirement, near = judged.requirement, nearest_text(judged)
    under = f"{judged.hypothesis}, from any start" if requirement.start_anywhere else judged.hypothesis
    return (
        Cell(requirement.id),
        Cell(f"{mark} {judged.verdict.value}", tone),
        *cells(
            under,
            _short(requirement.given.text),
            judged.judged_on,
            near.value,
            near.limit,
            near.margin,
            requirement.text,
        ),
    )


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_GIVEN else f"{text[: LONGEST_GIVEN - 4].rstrip(', ')} ..."


# -- what stands behind a verdict ----------------------------------------------------------------------------


def _detail(judged: RequirementOutcome) -> Iterator[Block]:
    if judged.verdict is Verdict.HOLDS:
        return
    requirement = judged.requirement
    yield Heading(f"{requirement.id} {judged.verdict.value}: {judged.reason}", MARKS[judged.verdict][1])
    clause = f" ({requirement.clause})" if requirement.clause else ""
    yield lines(f"{requirement.place}: {requirement.text}{clause}")
    if judged.witness is not None:
        yield from witness_blocks(judged.witness)


def _measured(outcome: Outcome) -> Iterator[Block]:
    """Values that the table of verdicts has no room for."""
    rows = tuple(
        cells(
            judged.requirement.id,
            measure.quantity,
            value_text(measure.best, measure.unit),
            value_text(measure.at_least, measure.unit),
            worst_text(measure),
            value_text(measure.limit, measure.unit),
            measure_text(measure).margin,
        )
        for judged in outcome.requirements
        for measure in judged.measures
    )
    if rows:
        yield Heading("Measured, of all that ended")
        yield Table(("id", "what", "best", "at least", "worst", "limit", "margin"), rows)


def _notes(outcome: Outcome) -> Iterator[Block]:
    """What an exploration that came to an end never saw; one that did not says nothing about that."""
    decided = [judged for judged in outcome.requirements if judged.verdict is not Verdict.UNDECIDED]
    untested = [f"{judged.requirement.id}: {text}" for judged in decided for text in judged.untested]
    if untested:
        yield Heading("Permissives never tested: never seen false while the output was off")
        yield lines(*untested)
    latent = [f"{judged.requirement.id}: {text}" for judged in decided for text in judged.latent]
    if latent:
        yield Heading("Latent failures: never demanded, so never noticed")
        yield lines(*latent)
    if outcome.time_loops:
        yield Heading("Loops that take no time; every limit would hold in them", Tone.DOUBT)
        yield lines(", ".join(outcome.time_loops))


def _trap(number: int, trap: Trap) -> Iterator[Block]:
    yield Heading(
        f"Trap {number}: no chart ever leaves {', '.join(trap.steps)} without a new failure", Tone.DOUBT
    )
    yield from witness_blocks(trap.witness)


def _findings(outcome: Outcome) -> Iterator[Block]:
    if outcome.findings:
        yield Heading("Findings, without running the sequence")
        yield lines(*(f"{found.place}: {found.text} [{found.code}]" for found in outcome.findings))
