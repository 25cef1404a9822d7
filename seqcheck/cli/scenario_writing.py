"""Puts the runs that a check tells down as scenario files; where proof and drawn run disagree, always, with what was proved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from seqcheck.check.agreement import Checked
from seqcheck.cli.block import Block, Heading, lines
from seqcheck.cli.output_file import ready_folder, write_output
from seqcheck.simulate.scenario import Scenario
from seqcheck.simulate.scenario_text import scenario_text

DEFECTS = Path("seqcheck_defects")
"""Where disagreements are kept if no folder was named."""


def write_scenarios(file: Path, checked: Checked, folder: Path | None) -> tuple[Path, ...]:
    """Write them, each file whole; the paths in order of requirement.

    Raises UsageError if that cannot be done.
    """
    wanted = dict(_told(file, checked)) if folder is not None else {}
    wanted |= _disagreeing(file, checked)
    if not wanted:
        return ()
    target = folder or DEFECTS
    ready_folder(target)
    for name, text in wanted.items():
        write_output(target / name, text)
    return tuple(target / name for name in wanted)


def _told(file: Path, checked: Checked) -> Iterator[tuple[str, str]]:
    """Name and text of a scenario for each witness of a proof and each drawn run that breaks something."""
    for judged in checked.outcome.requirements:
        name = judged.requirement.id
        if judged.witness is not None and judged.witness.scenario is not None:
            titled = replace(
                judged.witness.scenario,
                title=f"{name} {judged.verdict.value}: {judged.reason}",
                requirements=(name,),
            )
            yield f"{file.stem}.{name}.yaml", scenario_text(titled, str(file))
    for number, trap in enumerate(checked.outcome.traps, start=1):
        if trap.witness.scenario is not None:
            titled = replace(trap.witness.scenario, title=f"Trap {number}: {', '.join(trap.steps)}")
            yield f"{file.stem}.trap_{number}.yaml", scenario_text(titled, str(file))
    for tested in checked.tests.tested if checked.tests is not None else ():
        if tested.refutation is not None:
            yield _drawn_name(file, tested.requirement), scenario_text(tested.refutation.scenario, str(file))


def _drawn_name(file: Path, requirement: str) -> str:
    return f"{file.stem}.{requirement}.drawn.yaml"


def _disagreeing(file: Path, checked: Checked) -> dict[str, str]:
    """Both artefacts of every disagreement: the drawn run, and what was proved."""
    found: dict[str, str] = {}
    for part in checked.tests.disagreements if checked.tests is not None else ():
        found[f"{file.stem}.{part.requirement}.proof.txt"] = f"{part.text}\n{part.proof}\n"
        scenario: Scenario | None = part.scenario
        if scenario is not None:
            found[_drawn_name(file, part.requirement)] = scenario_text(scenario, str(file))
    return found


def scenario_blocks(file: Path, written: tuple[Path, ...]) -> Iterator[Block]:
    """How to run them again."""
    if written:
        yield Heading("Runs written as scenarios")
        yield lines(
            *(
                f"seqcheck simulate {file} --scenario {path}" if path.suffix == ".yaml" else f"{path}"
                for path in written
            )
        )
