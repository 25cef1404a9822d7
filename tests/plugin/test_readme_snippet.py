"""The test that README.md shows, run by pytest in a folder of its own: it finds what the example's requirement R2 is about."""

from __future__ import annotations

from pathlib import Path

import pytest

from seqcheck import runs

SNIPPET = '''
from hypothesis import given, strategies as st
from seqcheck import runs

sequence_file = "clamp_and_knife.yaml"

@given(data=st.data())
def test_the_knife_moves_behind_a_closed_hood_only(sequence, data):
    run = data.draw(runs(sequence, faults=1))
    assert not run.ever("knife.is_moving AND hood.is_open")
'''
LOADED = (runs,)
"""Loaded before the inner run, which would else load compiled modules twice."""


def test_the_example_finds_the_open_hood_and_shows_the_run(pytester: pytest.Pytester) -> None:
    clamp = Path(__file__).with_name("clamp.yaml").read_text(encoding="utf-8")
    pytester.path.joinpath("clamp_and_knife.yaml").write_text(clamp, encoding="utf-8")
    pytester.makepyfile(SNIPPET)
    result = pytester.runpytest_inprocess("-p", "no:randomly", "--hypothesis-seed=0")
    result.assert_outcomes(failed=1)
    result.stdout.fnmatch_lines(["*ACT: request presses*", "*ACT: hood opens*"])
