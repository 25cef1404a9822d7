"""The plugin as pytest itself runs it, in a folder of its own; junit files read by an independent reader (junitparser)."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from junitparser import Failure, JUnitXml

# Loaded before any inner run: pytester forgets modules that an inner run loads, and compiled ones cannot be loaded twice.
from seqcheck import pytest_sequence
from seqcheck.check import property_test, runs

LOADED = (pytest_sequence, property_test, runs)
CLAMP = Path(__file__).with_name("clamp.yaml").read_text(encoding="utf-8")
PLAIN = ("-p", "no:randomly", "-p", "no:cacheprovider")


@pytest.fixture
def line(pytester: pytest.Pytester) -> pytest.Pytester:
    """A folder with one sequence file in `sequences/`, and one that is no sequence beside it."""
    folder = pytester.mkdir("sequences")
    (folder / "clamp.yaml").write_text(CLAMP, encoding="utf-8")
    (folder / "other.yaml").write_text("services: {web: {image: nothing}}\n", encoding="utf-8")
    return pytester


def run(line: pytest.Pytester, *arguments: str) -> pytest.RunResult:
    """pytest in this process, without random order."""
    return line.runpytest_inprocess(*PLAIN, *arguments)


def test_each_requirement_of_a_named_folder_is_a_test(line: pytest.Pytester) -> None:
    result = run(line, "sequences/", "-v")
    result.assert_outcomes(passed=3, failed=1)
    result.stdout.fnmatch_lines(
        [
            "sequences/clamp.yaml::findings PASSED*",
            "sequences/clamp.yaml::R1 PASSED*",
            "sequences/clamp.yaml::R2 FAILED*",
            "sequences/clamp.yaml::R3 PASSED*",
        ]
    )


def test_a_failure_shows_the_run_and_no_traceback(line: pytest.Pytester) -> None:
    result = run(line, "sequences/clamp.yaml::R2")
    result.stdout.fnmatch_lines(
        [
            "*clamp.yaml:21:5: *",
            "violated: this holds: knife.is_moving AND hood.is_open",
            "Confirmed: the concrete simulator replayed this run.",
            "*ACT: hood opens*",
        ]
    )
    result.stdout.no_fnmatch_line("*Traceback*")
    result.stdout.no_fnmatch_line("*pytest_sequence.py*")


def test_nothing_is_collected_unless_it_is_named(line: pytest.Pytester) -> None:
    line.makepyfile("def test_own(): pass")
    run(line).assert_outcomes(passed=1)
    run(line, ".").assert_outcomes(passed=1)


def test_a_file_named_itself_is_collected_wherever_it_is(line: pytest.Pytester) -> None:
    run(line, "sequences/clamp.yaml", "--collect-only", "-q").stdout.fnmatch_lines(
        ["*::R3", "*4 tests collected*"]
    )


def test_configured_files_are_collected_without_being_named(line: pytest.Pytester) -> None:
    line.makeini("[pytest]\nsequence_files = sequences/c*.yaml\n")
    run(line).assert_outcomes(passed=3, failed=1)


def test_files_can_be_chosen_by_marker_and_by_word(line: pytest.Pytester) -> None:
    run(line, "sequences", "-m", "production").assert_outcomes(passed=1, deselected=3)
    run(line, "sequences", "-k", "interlock").assert_outcomes(passed=1, deselected=3)
    run(line, "sequences", "-k", "R3 or findings", "--strict-markers").assert_outcomes(passed=2, deselected=2)


def test_what_is_deselected_is_not_explored(line: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[str, ...]] = []
    check = pytest_sequence.check_both
    monkeypatch.setattr(
        pytest_sequence, "check_both", lambda *given: (asked.append(given[1].only), check(*given))[1]
    )
    run(line, "sequences", "-k", "R3").assert_outcomes(passed=1, deselected=3)
    assert asked == [("R3",)]


def test_requirements_that_share_an_exploration_are_checked_once(
    line: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    both = CLAMP + "  - {id: R4, never: knife_fire AND clamp_open AND clamp_closed}\n"
    line.path.joinpath("sequences", "clamp.yaml").write_text(both, encoding="utf-8")
    asked: list[tuple[str, ...]] = []
    check = pytest_sequence.check_both
    monkeypatch.setattr(
        pytest_sequence, "check_both", lambda *given: (asked.append(given[1].only), check(*given))[1]
    )
    run(line, "sequences")
    assert asked == [("R1",), ("R2", "R4"), ("R3",)]


def test_the_first_failure_ends_a_run_with_x(line: pytest.Pytester) -> None:
    run(line, "sequences", "-x").assert_outcomes(passed=2, failed=1)


def test_the_last_failed_alone_run_again(line: pytest.Pytester) -> None:
    line.runpytest_inprocess("-p", "no:randomly", "sequences").assert_outcomes(passed=3, failed=1)
    line.runpytest_inprocess("-p", "no:randomly", "sequences", "--lf").assert_outcomes(failed=1)


def test_xdist_gives_the_same_outcomes(line: pytest.Pytester) -> None:
    result = line.runpytest_subprocess(*PLAIN, "sequences", "-n", "2")
    result.assert_outcomes(passed=3, failed=1)


def test_a_file_with_mistakes_is_told_with_places_and_no_traceback(line: pytest.Pytester) -> None:
    line.path.joinpath("sequences", "clamp.yaml").write_text(
        CLAMP.replace("hood_closed AND", "hood_clsed AND")
    )
    result = run(line, "sequences")
    result.assert_outcomes(errors=1)
    result.stdout.fnmatch_lines(["*clamp.yaml:14:*did you mean hood_closed?*"])
    result.stdout.no_fnmatch_line("*Traceback*")


def test_findings_fail_only_where_they_are_asked_to(line: pytest.Pytester) -> None:
    unused = CLAMP.replace("    cutting:", "    lost: {next: {ready: clamp_open}}\n    cutting:")
    line.path.joinpath("sequences", "clamp.yaml").write_text(unused, encoding="utf-8")
    run(line, "sequences", "-k", "findings").assert_outcomes(passed=1, deselected=3)
    result = run(line, "sequences", "-k", "findings", "--sequence-strict")
    result.assert_outcomes(failed=1, deselected=3)
    result.stdout.fnmatch_lines(["*clamp.yaml:*lost*"])


def test_drawn_runs_are_shown_beside_the_proof_where_asked_for(line: pytest.Pytester) -> None:
    result = run(line, "sequences/clamp.yaml::R2", "--sequence-examples", "40")
    result.stdout.fnmatch_lines(["R2: broken in a drawn run, made as short as it went: *"])


def test_junit_xml_is_read_by_an_independent_reader(line: pytest.Pytester) -> None:
    run(line, "sequences", "--junit-xml", "junit.xml")
    [suite] = list(JUnitXml.fromfile(str(line.path / "junit.xml")))
    assert (suite.tests, suite.failures, suite.errors) == (4, 1, 0)
    results = {case.name: case.result for case in suite}
    assert {name: bool(result) for name, result in results.items()} == {
        "findings": False,
        "R1": False,
        "R2": True,
        "R3": False,
    }
    [failure] = results["R2"]
    assert isinstance(failure, Failure)
    assert "ACT: hood opens" in str(failure.text)


def test_the_plugin_loads_nothing_that_takes_long() -> None:
    code = (
        "import sys, pytest; before = set(sys.modules); import seqcheck.pytest_plugin;"
        "print(*sorted({name.split('.')[0] for name in set(sys.modules) - before}))"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout.split() == ["seqcheck"]


def test_the_fixture_gives_the_sequence_that_a_module_names(line: pytest.Pytester) -> None:
    line.makepyfile(
        """
        from hypothesis import given, settings, strategies as st
        from seqcheck import runs

        sequence_file = "sequences/clamp.yaml"

        def test_name(sequence):
            assert sequence.name == "Clamp and knife"

        @settings(max_examples=60, database=None, derandomize=True, deadline=None)
        @given(data=st.data())
        def test_hood(sequence, data):
            run = data.draw(runs(sequence))
            assert not run.ever("knife.is_moving AND hood.is_open")
        """
    )
    result = run(line)
    result.assert_outcomes(passed=1, failed=1)
    result.stdout.fnmatch_lines(["*ACT: hood opens*"])


def test_a_module_that_names_no_file_is_told_so(line: pytest.Pytester) -> None:
    line.makepyfile("def test_own(sequence): pass")
    result = run(line)
    result.assert_outcomes(errors=1)
    result.stdout.fnmatch_lines(["*must name the file of the fixture*"])
