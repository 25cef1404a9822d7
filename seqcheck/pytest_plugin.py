"""pytest plugin: sequence files as tests, one item a requirement, and the fixture `sequence` for tests of one's own.

It says and does nothing unless a sequence file or its folder is named on the command line, or `sequence_files` is configured.
pytest loads it at every start, so everything that takes long is loaded only where a sequence file is at hand.
"""

from __future__ import annotations

import re
from fnmatch import fnmatch
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from seqcheck.language.sequence import Sequence

SUFFIXES = (".yaml", ".yml")
LOOKED_AT = 16_384
"""Bytes of a file in which its first name `sequence:` or `base:` must stand, for it to be taken for a sequence file."""
_STARTS = re.compile(rb"^(sequence|base):", re.MULTILINE)
SEVERITIES = ("safety", "production", "quality")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Declare the options."""
    parser.addini(
        "sequence_files", "globs of sequence files that are tests, relative to the root folder", type="args"
    )
    parser.addini(
        "sequence_examples", "drawn runs of each sequence file beside its proofs; default 0", default="0"
    )
    parser.addini(
        "sequence_strict", "findings without running a sequence are failures", type="bool", default=False
    )
    group = parser.getgroup("seqcheck", "control sequences")
    group.addoption(
        "--sequence-examples",
        type=int,
        default=None,
        metavar="N",
        help="drawn runs of each sequence file; 0: none",
    )
    group.addoption(
        "--sequence-seed", type=int, default=0, metavar="N", help="what these runs are drawn from"
    )
    group.addoption(
        "--sequence-strict", action="store_true", help="findings without running a sequence are failures"
    )


def pytest_configure(config: pytest.Config) -> None:
    """Declare the markers: the severity of a requirement."""
    for severity in SEVERITIES:
        config.addinivalue_line("markers", f"{severity}: a requirement of this severity in a sequence file")


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> pytest.Collector | None:
    """Collect a sequence file that was named, or is configured."""
    if file_path.suffix not in SUFFIXES or not _is_wanted(file_path, parent.config):
        return None
    from seqcheck.pytest_sequence import SequenceFile

    return SequenceFile.from_parent(parent, path=file_path)


def _is_wanted(path: Path, config: pytest.Config) -> bool:
    named = _named(config)
    if path.resolve() in named:
        return True
    globs = config.getini("sequence_files")
    if globs:
        inside = path.is_relative_to(config.rootpath)
        relative = path.relative_to(config.rootpath).as_posix() if inside else path.as_posix()
        return any(fnmatch(relative, glob) for glob in globs)
    return path.parent.resolve() in named and _looks_like_a_sequence(path)


def _named(config: pytest.Config) -> set[Path]:
    """The files and folders named on the command line; not those that pytest looks into by itself."""
    if config.args_source is not pytest.Config.ArgsSource.ARGS:
        return set()
    return {(config.invocation_params.dir / argument.split("::")[0]).resolve() for argument in config.args}


def _looks_like_a_sequence(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return _STARTS.search(file.read(LOOKED_AT)) is not None
    except OSError:
        return False


@pytest.fixture(scope="module")
def sequence(request: pytest.FixtureRequest) -> Sequence:
    """The sequence in the file that the test module names: `sequence_file = "line3.yaml"`, relative to the module."""
    from seqcheck.reader.read import read_sequence

    named = getattr(request.module, "sequence_file", None)
    if named is None:
        pytest.fail(
            'the module must name the file of the fixture `sequence`: sequence_file = "line3.yaml"',
            pytrace=False,
        )
    beside = request.path.parent / named
    return read_sequence(beside if beside.exists() else request.config.rootpath / named)
