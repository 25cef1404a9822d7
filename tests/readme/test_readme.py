"""What README.md promises is so: its commands run, its example behaves as told, its tables are those of the catalogues."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from readme.reference_tables import README, REPOSITORY, tables, with_tables

from seqcheck import Verdict, check_sequence, read_sequence
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS

TEXT = README.read_text(encoding="utf-8")
PROGRAM = [sys.executable, "-c", "from seqcheck.cli.main import main; main()"]


def blocks(language: str) -> list[str]:
    """The fenced blocks of README.md in a language."""
    return re.findall(rf"```{language}\n(.*?)```", TEXT, re.DOTALL)


def test_the_tables_are_those_of_the_catalogues() -> None:
    """After a change: `python tests/readme/reference_tables.py`."""
    assert with_tables(TEXT) == TEXT


@pytest.mark.parametrize(("table", "names"), [("devices", DEVICE_TYPES), ("requirements", REQUIREMENT_KINDS)])
def test_every_type_and_kind_has_a_row(table: str, names: dict[str, object]) -> None:
    assert re.findall(r"^\| `(\w+)`:", tables()[table], re.MULTILINE) == list(names)


def test_the_first_command_checks_the_bundled_sequence() -> None:
    """The last part of the command, without drawn runs; the parts before it install what these tests run in."""
    words = blocks("sh")[0].split("&&")[-1].split()
    assert words[0] == ".venv/bin/seqcheck"
    done = subprocess.run(
        [*PROGRAM, *words[1:], "--examples", "0"], cwd=REPOSITORY, capture_output=True, text=True, timeout=900, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "[ok] holds" in done.stdout


@pytest.fixture
def example(tmp_path: Path) -> Path:
    path = tmp_path / "clamp_and_knife.yaml"
    path.write_text(blocks("yaml")[0], encoding="utf-8")
    return path


def test_the_example_behaves_as_told(example: Path) -> None:
    outcome = check_sequence(read_sequence(example))
    verdicts = {judged.requirement.id: judged.verdict for judged in outcome.requirements}
    assert verdicts == {"R1": Verdict.HOLDS, "R2": Verdict.VIOLATED, "R3": Verdict.HOLDS}


def test_the_python_example_runs(example: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", blocks("python")[0]],
        cwd=example.parent,
        env={"PYTHONPATH": str(REPOSITORY)},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[1].startswith("R2 violated")


@pytest.mark.parametrize("command", ["check", "simulate", "draw", "schema"])
def test_every_command_of_the_program_is_named(command: str) -> None:
    assert f"seqcheck {command}" in TEXT
