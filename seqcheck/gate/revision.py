"""Reads files of a revision out of git, with `git` itself and without touching the work tree, the index or the network."""

from __future__ import annotations

import os
import subprocess
from dataclasses import dataclass
from pathlib import Path

from seqcheck.errors import UsageError
from seqcheck.language.document import LONGEST_DOCUMENT_BYTES

LONGEST_WAIT_S = 120
"""Seconds for one call of git; a local look-up takes milliseconds."""

MAIN_BRANCHES = ("origin/HEAD", "origin/main", "main", "origin/master", "master")
"""Where the main branch is looked for, unless told."""

FETCH_MORE = "fetch its history first (git fetch --unshallow, or fetch-depth: 0 where the build server checks out)"


@dataclass(frozen=True, slots=True)
class Repository:
    """A git repository by the top of its work tree."""

    top: Path

    def git(self, *arguments: str) -> bytes:
        """What git answers. Raises UsageError in git's words if it refuses."""
        return _git(self.top, *arguments)

    @property
    def is_shallow(self) -> bool:
        """Whether the clone has only part of the history."""
        return self.git("rev-parse", "--is-shallow-repository").strip() == b"true"

    def commit(self, name: str) -> str | None:
        """The commit that a name stands for, or None."""
        try:
            found = self.git("rev-parse", "--verify", "--quiet", "--end-of-options", f"{name}^{{commit}}")
        except UsageError:
            return None
        return found.decode("ascii").strip()

    def merge_base(self, main: str | None) -> str:
        """Where the work tree's branch left the main branch. Raises UsageError where that cannot be told."""
        branch = self._main_branch(main)
        try:
            return self.git("merge-base", "HEAD", branch).decode("ascii").strip()
        except UsageError:
            pass
        hint = FETCH_MORE if self.is_shallow else "name a base with --base"
        raise UsageError(f"HEAD and {branch} have no common commit here; {hint}")

    def base_commit(self, wanted: str) -> str:
        """The commit of a revision that somebody named. Raises UsageError if there is none."""
        found = self.commit(wanted)
        if found is None:
            hint = f"; this clone is shallow: {FETCH_MORE}" if self.is_shallow else ""
            raise UsageError(f"git knows no revision {wanted!r}{hint}")
        return found

    def _main_branch(self, main: str | None) -> str:
        if self.commit("HEAD") is None:
            raise UsageError("the repository has no commit yet, so there is no base; name a saved result with --base-result")
        for name in (main,) if main is not None else MAIN_BRANCHES:
            if self.commit(name) is not None:
                return name
        if main is not None:
            self.base_commit(main)
        hint = f"; this clone is shallow: {FETCH_MORE}" if self.is_shallow else ""
        raise UsageError(f"no main branch found ({', '.join(MAIN_BRANCHES)}); name it with --main, or a base with --base{hint}")

    def files(self, commit: str) -> tuple[str, ...]:
        """The names of all plain files of a commit, as seen from the top, sorted. Links and submodules are left out."""
        entries = self.git("ls-tree", "-r", "-z", "--full-tree", commit).split(b"\0")
        return tuple(sorted(_name(entry) for entry in entries if entry.startswith(b"100")))

    def content(self, commit: str, name: str) -> bytes:
        """The content of a file of a commit, cut one byte beyond what a sequence may have. Raises OSError if it is not there."""
        try:
            found = self.git("cat-file", "blob", f"{commit}:{name}")
        except UsageError as error:
            raise FileNotFoundError(2, str(error), name) from None
        return found[: LONGEST_DOCUMENT_BYTES + 1]


def repository_around(folder: Path) -> Repository:
    """The repository that `folder` is in. Raises UsageError if it is in none, or git is not there."""
    top = _git(folder, "rev-parse", "--show-toplevel").decode("utf-8", "surrogateescape").rstrip("\n")
    return Repository(Path(top))


def _name(entry: bytes) -> str:
    return entry.partition(b"\t")[2].decode("utf-8", "surrogateescape")


def _git(folder: Path, *arguments: str) -> bytes:
    environment = {**os.environ, "GIT_OPTIONAL_LOCKS": "0", "GIT_TERMINAL_PROMPT": "0", "LC_ALL": "C"}
    try:
        done = subprocess.run(
            ("git", *arguments),
            cwd=folder,
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=LONGEST_WAIT_S,
            check=False,
        )
    except FileNotFoundError:
        raise UsageError("the program git is needed for a base; it was not found") from None
    except subprocess.TimeoutExpired:
        raise UsageError(f"git {arguments[0]} did not answer within {LONGEST_WAIT_S} s") from None
    if done.returncode != 0:
        words = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise UsageError(f"git {arguments[0]}: {words[-1] if words else f'exit code {done.returncode}'}")
    return done.stdout
