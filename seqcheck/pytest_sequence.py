"""What the pytest plugin makes of a sequence file: an item for each requirement, and one for what is found without running it.

Requirements that one exploration serves are checked together, when the first of them is asked for; what was deselected is not
explored.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from seqcheck.check.agreement import Checked
from seqcheck.check.check_both import check_both
from seqcheck.check.group import groups_of
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.cli.block import Block, lines
from seqcheck.cli.outcome_text import verdict_table
from seqcheck.cli.plain_text import plain_text
from seqcheck.cli.property_text import refutation_blocks
from seqcheck.cli.witness_text import witness_blocks
from seqcheck.errors import Place, SeqcheckError
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.reader.findings import static_findings
from seqcheck.reader.read import read_sequence
from seqcheck.requirements.verdict import Verdict

FINDINGS = "findings"
"""The item for what is found without running the sequence; no requirement can have this id, for it has no kind."""


class NotHeldError(Exception):
    """A requirement does not hold, or there are findings; the text is the table to show."""


@dataclass(slots=True)
class Checking:
    """The checks of one file so far. Mutable: a requirement is checked once, with those that share its exploration."""

    sequence: Sequence
    examples: int
    seed: int
    wanted: set[str] = field(default_factory=set)
    checked: dict[str, Checked] = field(default_factory=dict)

    def of(self, requirement: str) -> Checked:
        """What the check of a requirement came to."""
        if requirement not in self.checked:
            together = self._together(requirement)
            options = CheckOptions(only=tuple(together), traps=False)
            result = check_both(self.sequence, options, self.examples, self.seed)
            self.checked |= dict.fromkeys(together, result)
        return self.checked[requirement]

    def _together(self, requirement: str) -> list[str]:
        """The requirement and all wanted ones that share an exploration with it or with one another."""
        wanted = tuple(part for part in self.sequence.requirements if part.id in self.wanted | {requirement})
        shared = [
            {part.requirement for part in group.watching} for group in groups_of(self.sequence, wanted, None)
        ]
        found = {requirement}
        while more := {name for names in shared if names & found for name in names} - found:
            found |= more
        return [part.id for part in wanted if part.id in found]


class SequenceFile(pytest.File):
    """A sequence file."""

    checking: Checking

    def collect(self) -> Iterable[pytest.Item]:
        """One item for the findings and one for each requirement."""
        config = self.config
        examples = config.getoption("--sequence-examples")
        self.checking = Checking(
            sequence=read_sequence(self.path),
            examples=int(config.getini("sequence_examples")) if examples is None else examples,
            seed=config.getoption("--sequence-seed"),
        )
        yield FindingsItem.from_parent(self, name=FINDINGS)
        for requirement in self.checking.sequence.requirements:
            yield RequirementItem.from_parent(self, name=requirement.id, requirement=requirement)

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> Any:
        """What is wrong with the file, a line each, and no traceback."""
        del style
        if isinstance(excinfo.value, SeqcheckError):
            return str(excinfo.value)
        return super().repr_failure(excinfo)


class _SequenceItem(pytest.Item):
    """What the items of a sequence file have in common."""

    @property
    def checking(self) -> Checking:
        """The checks of the file."""
        assert isinstance(self.parent, SequenceFile)
        return self.parent.checking

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> Any:
        """The table, and no traceback."""
        if isinstance(excinfo.value, NotHeldError | SeqcheckError):
            return str(excinfo.value)
        return super().repr_failure(excinfo, style)


class FindingsItem(_SequenceItem):
    """What is found without running the sequence. Fails only where findings are failures; else they are shown with -rP."""

    def runtest(self) -> None:
        """Look for them."""
        text = "\n".join(
            f"{found.place}: {found.text} [{found.code}]" for found in static_findings(self.checking.sequence)
        )
        if not text:
            return
        if self.config.getoption("--sequence-strict") or self.config.getini("sequence_strict"):
            raise NotHeldError(text)
        self.add_report_section("call", "findings", text)

    def reportinfo(self) -> tuple[Path, int, str]:
        """Where it is."""
        return self.path, 0, f"{self.path.name}: findings"


class RequirementItem(_SequenceItem):
    """One requirement: it holds, or its table is shown."""

    requirement: Requirement

    def __init__(self, *, requirement: Requirement, **more: Any) -> None:
        """Mark it with its severity; `-k` also knows its kind."""
        super().__init__(**more)
        self.requirement = requirement
        self.add_marker(requirement.severity)
        self.extra_keyword_matches |= {requirement.kind, requirement.severity}
        self.user_properties.append(("sentence", requirement.text))
        if requirement.clause:
            self.user_properties.append(("clause", requirement.clause))

    def runtest(self) -> None:
        """Check it, with those that share its exploration and are wanted too."""
        self.checking.wanted |= {
            item.name
            for item in self.session.items
            if item.parent is self.parent and isinstance(item, RequirementItem)
        }
        checked = self.checking.of(self.name)
        judged = next(part for part in checked.outcome.requirements if part.requirement.id == self.name)
        self.user_properties.append(("verdict", judged.verdict.value))
        if judged.verdict is not Verdict.HOLDS:
            raise NotHeldError(plain_text(_blocks(judged, checked)).rstrip())

    def reportinfo(self) -> tuple[Path, int, str]:
        """The place of the requirement in its file, and its sentence."""
        place: Place = self.requirement.place
        return self.path, place.line - 1, f"{self.name}: {self.requirement.text}"


def _blocks(judged: RequirementOutcome, checked: Checked) -> Iterator[Block]:
    requirement = judged.requirement
    yield lines(f"{requirement.place}: {requirement.text}", f"{judged.verdict.value}: {judged.reason}")
    yield verdict_table((judged,))
    if judged.witness is not None:
        yield from witness_blocks(judged.witness)
    tested = checked.tests.of(requirement.id) if checked.tests is not None else None
    if tested is not None and tested.refutation is not None:
        yield from refutation_blocks(requirement.id, tested.refutation)
