"""A controller text read back as charts: by the exporter's form if it has it, else as written by hand."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.plc.controller_charts import ControllerCharts
from seqcheck.plc.import_case import import_case
from seqcheck.plc.import_export import import_exported
from seqcheck.plc.interpreter import check_text
from seqcheck.plc.origin import WRITTEN_BY
from seqcheck.plc.parse_text import parse_text


@dataclass(frozen=True, slots=True)
class Imported:
    """The charts in a text, and what a person must know of them."""

    charts: ControllerCharts
    notes: tuple[str, ...] = ()


def import_text(text: str, file: str) -> Imported:
    """The charts in `text`, which stands in `file`.

    Raises SequenceFileError with the place of what is not understood.
    """
    program = parse_text(text, file)
    check_text(program)
    if program.header and program.header[0].startswith(WRITTEN_BY):
        return Imported(import_exported(program, file))
    return Imported(*import_case(program, file))
