"""A public grammar of Structured Text reads every export without an error.

It is the package `tree-sitter-iec61131-3-st` from PyPI. That grammar does not know a value with the name of its
enumeration (`steps#ready`), which IEC 61131-3 has (enumerated values, from memory); so for it `#` becomes `_`.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from plc.exported_controller import exported

from seqcheck.plc.controller_charts import controller_charts
from seqcheck.reader.read import read_sequence

tree_sitter = pytest.importorskip("tree_sitter")
grammar = pytest.importorskip("tree_sitter_iec61131_3_st")

ROOT = Path(__file__).parents[2]
FOLDERS = ("sequences", "tests/defects", "tests/simulate", "tests/plc")
FILES = [path for folder in FOLDERS for path in sorted((ROOT / folder).glob("*.yaml"))]


def _has_error(text: str) -> bool:
    parser = tree_sitter.Parser(tree_sitter.Language(grammar.language()))
    return bool(parser.parse(text.encode()).root_node.has_error)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_grammar_finds_no_error(path: Path) -> None:
    text = re.sub(r"(\w+_steps)#(\w+)", r"\1_\2", exported(controller_charts(read_sequence(path))))
    assert not _has_error(text)
    assert _has_error(text.replace("END_CASE;", "END_CASE", 1).replace("END_IF", "END_IFF", 1))
