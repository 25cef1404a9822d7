"""What a team takes as it is: the action's steps, the hook, the recipe of the README. No network is used."""

import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from gate.workshop import OWN, Workshop

REPOSITORY = Path(__file__).resolve().parents[2]
ACTION = REPOSITORY / ".github/actions/gate/action.yml"
HOOKS = REPOSITORY / ".pre-commit-hooks.yaml"
PROGRAMS = Path(sys.executable).parent


def clean_environment(**more: str) -> dict[str, str]:
    """As on a build server: no variables of the test run, this environment's programs first."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("GIT_", "SEQCHECK_", "PYTEST"))}
    return {**kept, **OWN, "PATH": f"{PROGRAMS}{os.pathsep}{kept['PATH']}", **more}


def action() -> dict[str, Any]:
    data = yaml.safe_load(ACTION.read_text(encoding="utf-8"))
    assert isinstance(data, dict)
    return data


def step(name: str) -> dict[str, Any]:
    return next(part for part in action()["runs"]["steps"] if part["name"] == name)


def run_step(name: str, folder: Path, inputs: dict[str, str]) -> subprocess.CompletedProcess[str]:
    """Run a step's shell text as the build server does: expressions of its `env` replaced, its files at hand."""
    described = action()["inputs"]
    values = {key: str(part["default"]) for key, part in described.items()} | inputs
    environment = {
        key: re.sub(r"\$\{\{ inputs\.(\w+) \}\}", lambda found: values[found[1]], text)
        for key, text in step(name)["env"].items()
    }
    assert not [text for text in environment.values() if "${{" in text]
    server = {"GITHUB_STEP_SUMMARY": str(folder / "summary.md"), "GITHUB_OUTPUT": str(folder / "output.txt")}
    shell = ["bash", "--noprofile", "--norc", "-eo", "pipefail", "-c", step(name)["run"]]
    return subprocess.run(
        shell, cwd=folder, env=clean_environment(**server, **environment), capture_output=True, text=True, timeout=120
    )


def test_every_expression_stands_in_env_and_never_in_a_script() -> None:
    """What a pull request's author may choose must not become part of a shell text."""
    assert [part["name"] for part in action()["runs"]["steps"] if "${{" in part["run"]] == []
    assert {part["shell"] for part in action()["runs"]["steps"]} == {"bash"}
    assert action()["runs"]["using"] == "composite"


def test_the_step_that_installs_names_this_repository() -> None:
    """Running it would ask a package index, so only its path is held against the folder."""
    source = step("Install seqcheck")["env"]["SEQCHECK_SOURCE"]
    assert source == "${{ github.action_path }}/../../.."
    assert (ACTION.parent / "../../..").resolve() == REPOSITORY
    assert step("Install seqcheck")["run"] == 'python -m pip install --quiet "$SEQCHECK_SOURCE"'


def test_the_step_judges_and_reports(workshop: Workshop) -> None:
    workshop.edit("within: 1 s", "within: 2 s")
    done = run_step("Judge the sequences", workshop.folder, {"base": "main", "files": "sequences\n"})
    assert done.returncode == 1, done.stderr
    assert "::error file=sequences/press.yaml,line=18,col=5,title=seqcheck%3A weakened::R2" in done.stdout
    assert (workshop.folder / "output.txt").read_text(encoding="utf-8") == "exit-code=1\n"
    assert "## seqcheck: blocked" in (workshop.folder / "summary.md").read_text(encoding="utf-8")
    reports = sorted(path.name for path in (workshop.folder / "seqcheck-reports").iterdir())
    assert reports == ["gate.json", "gate.md", "gate.sarif", "gate.xml"]
    assert list((workshop.folder / ".seqcheck-cache").rglob("*.json"))


def test_the_step_passes_what_changes_nothing(workshop: Workshop) -> None:
    done = run_step("Judge the sequences", workshop.folder, {"base": ""})
    assert done.returncode == 0, done.stderr
    assert (workshop.folder / "output.txt").read_text(encoding="utf-8") == "exit-code=0\n"


def test_inputs_are_values_and_no_commands(workshop: Workshop) -> None:
    trap = '$(touch trapped)`touch trapped`"; touch trapped; "'
    done = run_step("Judge the sequences", workshop.folder, {"base": trap, "files": trap})
    assert done.returncode == 2
    assert not (workshop.folder / "trapped").exists()


def test_a_shallow_clone_gets_its_base(workshop: Workshop) -> None:
    """The build server's usual clone has one commit; the base comes from its origin, here a folder."""
    base = workshop.git("rev-parse", "HEAD")
    workshop.git("config", "uploadpack.allowAnySHA1InWant", "true")
    workshop.git("switch", "--quiet", "--create", "topic")
    workshop.edit("within: 1 s", "within: 2 s")
    workshop.commit()
    clone = workshop.folder.parent / "clone"
    workshop.git("clone", "--quiet", "--depth", "1", "--branch", "topic", workshop.folder.as_uri(), str(clone))
    done = run_step("Fetch the base", clone, {"base": base})
    assert done.returncode == 0, done.stderr
    assert run_step("Judge the sequences", clone, {"base": base}).returncode == 1


RECIPE = """
git fetch --quiet origin main
seqcheck gate sequences --base origin/main --cache .seqcheck-cache --markdown summary.md \\
    --sarif gate.sarif --junit gate.xml --json gate.json
"""
"""What the README tells a team to run on any build server, after installing."""


def test_the_recipe_for_any_build_server(workshop: Workshop) -> None:
    clone = workshop.folder.parent / "clone"
    workshop.git("clone", "--quiet", workshop.folder.as_uri(), str(clone))
    Workshop(clone).edit("within: 1 s", "within: 2 s")
    shell = ["bash", "-e", "-c", RECIPE]
    done = subprocess.run(shell, cwd=clone, env=clean_environment(), capture_output=True, text=True, timeout=120)
    assert done.returncode == 1, done.stderr
    assert {"summary.md", "gate.sarif", "gate.xml", "gate.json"} <= {path.name for path in clone.iterdir()}


def hooks() -> list[dict[str, Any]]:
    data = yaml.safe_load(HOOKS.read_text(encoding="utf-8"))
    assert isinstance(data, list)
    return data


def test_the_hook_file_has_what_a_hook_needs() -> None:
    """Source: pre-commit.com, new hooks: id, name, entry and language are required (seen)."""
    assert all({"id", "name", "entry", "language"} <= set(hook) for hook in hooks())
    assert [hook["id"] for hook in hooks()] == ["seqcheck-check", "seqcheck-gate"]


def pre_commit(workshop: Workshop, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = clean_environment(PRE_COMMIT_HOME=str(workshop.folder.parent / "pre-commit-home"))
    return subprocess.run(
        [sys.executable, "-m", "pre_commit", *arguments],
        cwd=workshop.folder, env=environment, capture_output=True, text=True, timeout=120,
    )  # fmt: skip


@pytest.fixture
def hooked(workshop: Workshop) -> Workshop:
    """A repository with our hooks as `repo: local` and `language: system`, as installing them would need the network."""
    pytest.importorskip("pre_commit")
    local = [{**hook, "language": "system"} for hook in hooks()]
    config = {"repos": [{"repo": "local", "hooks": local}]}
    workshop.write(".pre-commit-config.yaml", yaml.safe_dump(config))
    workshop.commit("hooks")
    return workshop


def test_the_definitions_are_valid_for_pre_commit_itself(workshop: Workshop) -> None:
    pytest.importorskip("pre_commit")
    assert pre_commit(workshop, "validate-manifest", str(HOOKS)).returncode == 0


def test_the_hooks_stop_a_commit_that_weakens(hooked: Workshop) -> None:
    """A real `git commit` runs them, with all that git puts into a hook's environment."""
    assert pre_commit(hooked, "install").returncode == 0
    hooked.edit("within: 1 s", "within: 2 s")
    hooked.git("add", "--all")
    commit = ["git", "commit", "--quiet", "--message", "weaker"]
    done = subprocess.run(commit, cwd=hooked.folder, env=clean_environment(), capture_output=True, text=True, timeout=120)
    assert done.returncode == 1
    assert re.search(r"seqcheck check\.+Passed", done.stderr)
    assert re.search(r"seqcheck gate\.+Failed", done.stderr)
    assert "weakened" in done.stderr
    assert hooked.git("log", "--format=%s", "-1") == "hooks"


def test_the_hooks_pass_what_changes_nothing(hooked: Workshop) -> None:
    hooked.edit("revision: 1", "revision: 2")
    hooked.git("add", "--all")
    done = pre_commit(hooked, "run")
    assert done.returncode == 0, done.stdout
    assert done.stdout.count("Passed") == 2
