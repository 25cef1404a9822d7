"""The version of the installed package."""

from __future__ import annotations

import sys

import typer


def version_text() -> str:
    """The version, or that the package runs without being installed."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return f"seqcheck {version('seqcheck')}"
    except PackageNotFoundError:
        return "seqcheck, not installed"


def print_version(wanted: bool) -> None:
    """Print the version and end, if wanted."""
    if wanted:
        sys.stdout.write(f"{version_text()}\n")
        raise typer.Exit(0)
