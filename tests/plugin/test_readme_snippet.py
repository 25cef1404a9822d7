"""The test that README.md shows, run by pytest in a folder of its own: it finds what the example's requirement R2 is about."""

from __future__ import annotations

from pathlib import Path

import pytest

SNIPPET = '''
from hypothesis import given, settings, strategies as st
from seqcheck import runs

sequence_file = "clamp_and_knife.yaml"

@settings(deadline=None)
@given(data=st.data())
def test_the_knife_moves_behind_a_closed_hood_only(sequence, data):
    run = data.draw(runs(sequence, faults=1))
    assert not run.ever("knife.is_moving AND hood.is_open")
'''
QUICK = """
from hypothesis import Phase, settings

settings.register_profile("quick", database=None, phases=[Phase.generate])
settings.load_profile("quick")
"""
"""Without shrinking, which is not what this test is about."""


def test_the_example_finds_the_open_hood_and_shows_the_run(pytester: pytest.Pytester) -> None:
    clamp = Path(__file__).with_name("clamp.yaml").read_text(encoding="utf-8")
    pytester.path.joinpath("clamp_and_knife.yaml").write_text(clamp, encoding="utf-8")
    pytester.makepyfile(SNIPPET)
    pytester.makeconftest(QUICK)
    result = pytester.runpytest_subprocess("-p", "no:randomly", "--hypothesis-seed=0")
    result.assert_outcomes(failed=1)
    result.stdout.fnmatch_lines(["*ACT: request presses*", "*ACT: hood opens*"])
