"""The program as a process: what it loads, its usage errors, and output that nobody reads."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from seqcheck.reader.schema import json_schema

REPOSITORY = Path(__file__).resolve().parents[2]
PROGRAM = [sys.executable, "-c", "from seqcheck.cli.main import main; main()"]


def program(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*PROGRAM, *arguments], cwd=REPOSITORY, capture_output=True, text=True, timeout=120, check=False
    )


def test_help_loads_nothing_that_takes_long() -> None:
    """So it answers within 0.3 s on an idle machine; a timed test would fail on a busy one."""
    heavy = ("rich", "yaml", "lark", "pint", "networkx", "numpy", "transitions", "seqcheck.reader", "seqcheck.check")
    code = (
        "import sys; from seqcheck.cli.main import run; run(['--help']); "
        f"print([name for name in {heavy!r} if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=REPOSITORY, capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_the_schema_is_json() -> None:
    done = program("schema")
    assert (done.returncode, json.loads(done.stdout)) == (0, json_schema())


def test_the_version_is_told() -> None:
    done = program("--version")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("seqcheck")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [(("chekc",), "No such command 'chekc'"), (("check",), "Missing argument"), (("check", "--jobs", "x"), "--jobs")],
)
def test_usage_errors_end_with_2_and_plain_words(arguments: tuple[str, ...], said: str) -> None:
    done = program(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert not {"Traceback", "│", "╭"} & set(done.stderr.replace("Traceback", " Traceback ").split())


def test_output_that_nobody_reads_is_no_verdict() -> None:
    """`seqcheck schema | true` must not end with 1, which would mean a violated requirement."""
    with subprocess.Popen(
        [*PROGRAM, "schema"], cwd=REPOSITORY, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as started:
        assert started.stdout is not None and started.stderr is not None
        started.stdout.close()
        error = started.stderr.read()
        code = started.wait(timeout=60)
    assert (code, error) == (2, "")
