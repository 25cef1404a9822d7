"""Real git repositories for the tests of the gate: what is made in one, and how the gate is run in it."""

import os
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

from seqcheck.cli.main import run

PRESS = Path(__file__).with_name("press.yaml").read_text(encoding="utf-8")

OWN = {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_NOSYSTEM": "1",
    "GIT_AUTHOR_NAME": "tester",
    "GIT_AUTHOR_EMAIL": "tester@example.org",
    "GIT_COMMITTER_NAME": "tester",
    "GIT_COMMITTER_EMAIL": "tester@example.org",
}
"""git without anybody's settings."""


@dataclass(frozen=True)
class Workshop:
    """A folder with a repository of its own."""

    folder: Path

    def git(self, *arguments: str) -> str:
        """Run git here."""
        environment = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")} | OWN
        done = subprocess.run(
            ("git", *arguments), cwd=self.folder, env=environment, capture_output=True, text=True, check=True, timeout=60
        )
        return done.stdout.strip()

    def write(self, name: str, text: str) -> None:
        """Put a file down."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def edit(self, old: str, new: str, name: str = "sequences/press.yaml") -> None:
        """Replace a text that must be there."""
        text = (self.folder / name).read_text(encoding="utf-8")
        assert old in text
        self.write(name, text.replace(old, new, 1))

    def commit(self, message: str = "more") -> None:
        """Commit everything."""
        self.git("add", "--all")
        self.git("commit", "--quiet", "--message", message)

    def gate(self, *arguments: str) -> int:
        """The exit code of the gate, run in this process."""
        return run(["gate", "--jobs", "1", *arguments])


def opened(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Workshop:
    """A repository in `folder`, entered, with the press committed on main."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, value in OWN.items():
        monkeypatch.setenv(name, value)
    monkeypatch.chdir(folder)
    workshop = Workshop(folder)
    workshop.git("init", "--quiet", "--initial-branch", "main")
    workshop.write("sequences/press.yaml", PRESS)
    workshop.commit("press")
    return workshop
