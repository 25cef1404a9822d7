"""A run as plain lines, for reports that have no tables."""

from __future__ import annotations

from seqcheck.gate.result import KeptLine


def run_lines(run: tuple[KeptLine, ...]) -> tuple[str, ...]:
    """One line for each event: when, what, which outputs changed."""
    return tuple(_line(line) for line in run)


def _line(line: KeptLine) -> str:
    is_told = "FAILURE" in line.what
    word = "FAILURE: " if line.is_failure and not is_told else "ACT: " if line.is_act else ""
    outputs = f" [{', '.join(line.outputs)}]" if line.outputs else ""
    return f"{line.time:>14}  {word}{line.what}{outputs}"
