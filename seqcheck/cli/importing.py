"""Reads a controller text and writes its charts as sections of a sequence file."""

from __future__ import annotations

from pathlib import Path

from seqcheck.cli.exit_code import ALL_HOLD
from seqcheck.cli.output_file import refuse_unless_writable, write_output
from seqcheck.errors import UsageError
from seqcheck.plc.charts_yaml import charts_yaml
from seqcheck.plc.import_text import import_text


def import_file(file: Path, output: Path) -> int:
    """Write the charts of the text in `file` as YAML; the exit code."""
    refuse_unless_writable(output)
    try:
        text = file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise UsageError(f"cannot read {file}: it is not text in UTF-8") from None
    imported = import_text(text, str(file))
    write_output(output, charts_yaml(imported.charts, file.name, imported.notes))
    return ALL_HOLD
