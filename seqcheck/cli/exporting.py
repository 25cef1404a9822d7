"""Writes the controller text of a sequence."""

from __future__ import annotations

import hashlib
from pathlib import Path

from seqcheck.cli.exit_code import ALL_HOLD
from seqcheck.cli.output_file import refuse_unless_writable, write_output
from seqcheck.cli.version import version_text
from seqcheck.language.sequence import Sequence
from seqcheck.plc.controller_charts import controller_charts
from seqcheck.plc.export_program import export_program
from seqcheck.plc.origin import Origin, SourceFile
from seqcheck.plc.print_text import program_text
from seqcheck.reader.read import read_sequence


def export_file(file: Path, output: Path) -> int:
    """Write the charts of the sequence in `file` as Structured Text; the exit code."""
    refuse_unless_writable(output)
    sequence = read_sequence(file)
    program = export_program(controller_charts(sequence), origin_of(sequence, file))
    write_output(output, program_text(program))
    return ALL_HOLD


def origin_of(sequence: Sequence, file: Path) -> Origin:
    """Where a text comes from: the file and the one it is based on, as they are on the disk now."""
    files = (file,) if sequence.base_file is None else (file, Path(sequence.base_file))
    return Origin(
        sequence=sequence.name,
        revision=sequence.revision,
        files=tuple(
            SourceFile(name=part.name, sha256=hashlib.sha256(part.read_bytes()).hexdigest()) for part in files
        ),
        version=version_text(),
    )
