"""Runs a controller text scan by scan, from the text alone: inputs and a clock in, outputs out.

This is a second opinion on what was exported, so it shares nothing with the kernel: it knows no charts, only statements, and the
function blocks of the standard.
"""

from __future__ import annotations

from collections.abc import Mapping

from seqcheck.errors import Place
from seqcheck.plc.compile_unit import Instance, compile_program
from seqcheck.plc.function_block import BlockMemory, Cell
from seqcheck.plc.program import Program
from seqcheck.plc.types_of_text import failure


def check_text(program: Program) -> None:
    """Raise SequenceFileError if a name in the text is not known or types in it do not fit."""
    compile_program(program)


class Interpreter:
    """One running program. Mutable: each scan changes its variables."""

    def __init__(self, program: Program, file: str = "") -> None:
        """Power up the only PROGRAM of the text.

        Raises SequenceFileError if there is not exactly one, or something in the text has no meaning.
        """
        units = compile_program(program)
        programs = [unit for unit in program.units if unit.keyword == "PROGRAM"]
        if len(programs) != 1:
            place = programs[1].place if programs else Place(file, 1, 1)
            raise failure(place, "exactly one PROGRAM", str(len(programs)))
        self._compiled = units[programs[0].name.upper()]
        self._unit = programs[0]
        self._instance = self._compiled.new()

    def power_up(self, retained: Mapping[tuple[str, str], Cell] | None = None) -> None:
        """Begin anew, with the initial values of all variables, but for those `retained`: (block, variable) to value."""
        self._instance = self._compiled.new()
        for (block, name), value in (retained or {}).items():
            self._instance.blocks[block.upper()].cells[name.upper()] = value

    def block(self, *path: str) -> BlockMemory:
        """An instance of a standard function block, by the names of the blocks around it and its own."""
        instance = self._instance
        for name in path[:-1]:
            inner = instance.blocks[name.upper()]
            assert isinstance(inner, Instance), f"{name} is a standard block"
            instance = inner
        found = instance.blocks[path[-1].upper()]
        assert isinstance(found, BlockMemory), f"{path[-1]} is no standard block"
        return found

    def scan(self, now_us: int, inputs: Mapping[str, bool]) -> dict[str, Cell]:
        """One scan at `now_us` (never before the last one) with these inputs; others stay. Returns the outputs by name."""
        for name, value in inputs.items():
            self._instance.cells[name.upper()] = value
        self._instance.now_us = now_us
        self._compiled.run(self._instance)
        return {part.name: self._instance.cells[part.name.upper()] for part in self._unit.variables("VAR_OUTPUT")}

    def value(self, *path: str) -> Cell:
        """What a variable holds: of the program, or, after the name of a block, of that block, inner ones too."""
        instance = self._instance
        cells = self._instance.cells
        for name in path[:-1]:
            inner = instance.blocks[name.upper()]
            cells = inner.cells
            if isinstance(inner, Instance):
                instance = inner
        return cells[path[-1].upper()]
