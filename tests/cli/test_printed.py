"""What is printed, byte for byte.

After a change on purpose: `python tests/cli/rewrite_expected.py`, and read the difference.
"""

import pytest
from cli.printed import EXPECTED, PRINTED, printed_by


@pytest.mark.parametrize("name", [name for name in PRINTED if name != "help.txt"])
def test_the_text_is_exactly_the_expected_one(name: str) -> None:
    assert PRINTED[name]() == (EXPECTED / name).read_bytes().decode()


def test_the_help_names_every_command_and_an_example() -> None:
    """Its line breaks are typer's own and differ between versions."""
    words = printed_by("--help").split()
    assert words == (EXPECTED / "help.txt").read_bytes().decode().split()


def test_nothing_in_the_folder_is_left_over() -> None:
    assert {path.name for path in EXPECTED.iterdir()} == set(PRINTED)


def test_two_processes_print_what_one_prints() -> None:
    assert printed_by("check", "clamp.yaml", "--jobs", "2") == (EXPECTED / "check_clamp.txt").read_bytes().decode()


@pytest.mark.parametrize("command", ["check", "simulate", "draw", "schema"])
def test_every_command_has_a_help_with_an_example(command: str) -> None:
    text = printed_by(command, "--help")
    assert f"Example: seqcheck {command}" in " ".join(text.split())
