"""What build servers are told, in the one form that JUnit, SARIF and annotations are written from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from seqcheck.errors import Place
from seqcheck.gate.policy import Level
from seqcheck.gate.result import KeptLine, KeptRequirement, SequenceResult
from seqcheck.gate.verdict import GateVerdict, JudgedChange

Weight = Literal["error", "warning", "note"]

WEIGHTS: dict[Level, Weight] = {Level.BLOCK: "error", Level.WARN: "warning", Level.NOTE: "note", Level.WAIVED: "note"}
WEIGHTS_OF_VERDICTS: dict[str, Weight] = {"violated": "error", "vacuous": "error", "undecided": "warning"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """One thing to tell: `rule` is its kind, `subject` what it is about (a requirement's id, or empty for the whole file)."""

    place: Place
    rule: str
    weight: Weight
    subject: str
    text: str
    run: tuple[KeptLine, ...] = ()

    @property
    def message(self) -> str:
        """The text, with what it is about."""
        return f"{self.subject}: {self.text}" if self.subject else self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One case of a file for JUnit: a requirement, or the file itself. `noted`: what is wrong with it; nothing: it passes."""

    file: str
    name: str
    noted: tuple[Noted, ...]
    text: str = ""


def noted_of_result(result: SequenceResult) -> tuple[Noted, ...]:
    """All that a check of one file has to tell: problems, requirements that do not hold, findings."""
    problems = tuple(
        Noted(
            place=problem.place,
            rule="unreadable",
            weight="error",
            subject="",
            text=problem.text().removeprefix(f"{problem.place}: "),
        )
        for problem in result.problems
    )
    broken = tuple(_noted_verdict(judged) for judged in result.requirements if judged.verdict != "holds")
    findings = tuple(
        Noted(place=part.place, rule=f"finding: {part.code}", weight="note", subject="", text=part.text)
        for part in result.findings
    )
    return (*problems, *broken, *findings)


def _noted_verdict(judged: KeptRequirement) -> Noted:
    reason = f" ({judged.reason})" if judged.reason else ""
    sentence = judged.asked.sentence or judged.asked.kind
    return Noted(
        place=judged.asked.place,
        rule=judged.verdict,
        weight=WEIGHTS_OF_VERDICTS[judged.verdict],
        subject=judged.asked.id,
        text=f"{judged.verdict}: {sentence}, under {judged.under}, given {judged.given}{reason}",
        run=judged.run,
    )


def noted_of_gate(verdict: GateVerdict) -> tuple[Noted, ...]:
    """All that the gate has to tell."""
    return tuple(_noted_change(part) for part in verdict.changes)


def _noted_change(part: JudgedChange) -> Noted:
    change = part.change
    waived = "" if part.level is not Level.WAIVED or part.waiver is None else (
        f" (waived by {part.waiver.approver} until {part.waiver.expires.isoformat()}: {part.waiver.reason})"
    )  # fmt: skip
    from_to = f" [{change.old} -> {change.new}]" if change.old and change.new else ""
    return Noted(
        place=change.place,
        rule=change.kind.value,
        weight=WEIGHTS[part.level],
        subject=change.requirement,
        text=f"{change.kind.value}: {change.text}{from_to}{waived}",
        run=change.run,
    )


def cases_of_result(result: SequenceResult) -> tuple[Case, ...]:
    """A case for the file itself and one for each requirement."""
    noted = noted_of_result(result)
    own = tuple(part for part in noted if part.rule == "unreadable")
    whole = Case(file=result.file, name="the file can be used", noted=own)
    return (whole, *(_case(result.file, judged, noted) for judged in result.requirements))


def _case(file: str, judged: KeptRequirement, noted: tuple[Noted, ...]) -> Case:
    own = tuple(part for part in noted if part.subject == judged.asked.id)
    return Case(file=file, name=judged.asked.id, noted=own, text=judged.asked.sentence)


def cases_of_gate(verdict: GateVerdict) -> tuple[Case, ...]:
    """For each file a case for the file itself and one for each requirement of either revision; waivers at the end."""
    found: list[Case] = []
    for file in verdict.files:
        noted = tuple(_noted_change(part) for part in file.changes if part.level in (Level.BLOCK, Level.WARN))
        subjects = dict.fromkeys(judged.asked.id for result in (file.new, file.old) if result for judged in result.requirements)
        for subject in ("", *subjects):
            own = tuple(part for part in noted if part.subject == subject)
            found.append(Case(file=file.file, name=subject or "the whole file", noted=own))
    expired = tuple(_noted_change(part) for part in verdict.of_policy)
    return (*found, *(Case(file=part.place.file, name=f"waiver of {part.subject}", noted=(part,)) for part in expired))
