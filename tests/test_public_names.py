"""The public names: all importable, none hidden, and none loaded before it is asked for."""

import subprocess
import sys
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

import seqcheck

REPOSITORY = Path(__file__).resolve().parents[1]
HEAVY = (
    "numpy", "scipy", "networkx", "pint", "matplotlib", "hypothesis", "pytest",
    "lark", "yaml", "transitions", "typer", "rich", "graphviz", "wasmtime",
)  # fmt: skip


def test_the_list_is_what_the_manual_promises() -> None:
    assert sorted(seqcheck.__all__) == [
        "BudgetOptions",
        "CheckOptions",
        "Limits",
        "Outcome",
        "Place",
        "Problem",
        "RequirementOutcome",
        "SeqcheckError",
        "Sequence",
        "SequenceFileError",
        "UsageError",
        "Verdict",
        "budget_sequence",
        "check_sequence",
        "draw_sequence",
        "read_sequence",
        "runs",
        "simulate_sequence",
    ]


@pytest.mark.parametrize("name", seqcheck.__all__)
def test_every_name_is_importable_and_no_module(name: str) -> None:
    found = getattr(seqcheck, name)
    assert callable(found)
    assert not isinstance(found, ModuleType)
    assert found.__name__ == name


def test_nothing_else_is_public() -> None:
    assert sorted(dir(seqcheck)) == sorted(seqcheck.__all__)
    with pytest.raises(AttributeError, match="no attribute 'chek_sequence'"):
        getattr(seqcheck, "chek_sequence")  # noqa: B009  mypy knows that it is not there


def test_no_name_hides_a_part_of_the_package() -> None:
    parts = {path.stem for path in (REPOSITORY / "seqcheck").iterdir()}
    assert not parts & set(seqcheck.__all__)
    assert isinstance(import_module("seqcheck.check"), ModuleType)


def test_importing_the_package_loads_nothing_heavy() -> None:
    code = f"import sys, seqcheck; print([name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=REPOSITORY, capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout == "[]\n"
