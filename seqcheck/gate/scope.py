"""Which files are judged: those named, those below a folder, those that a pattern fits; on the disk and in the base alike."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path, PurePosixPath

from seqcheck.errors import UsageError

ENDINGS = (".yaml", ".yml")
_SIGNS = "*?["


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """Names are relative to `root`, with `/` between parts. `folders` count with all below them; "." is everything."""

    root: Path
    files: tuple[str, ...] = ()
    folders: tuple[str, ...] = ()
    patterns: tuple[str, ...] = ()

    def covers(self, name: str) -> bool:
        """Whether a file of this name would be judged."""
        below = name.endswith(ENDINGS) and any(_is_below(name, folder) for folder in self.folders)
        return name in self.files or below or any(_fits(name, pattern) for pattern in self.patterns)

    def on_disk(self) -> tuple[str, ...]:
        """The files that are there, sorted; files named outright are there even if they cannot be read.

        Raises UsageError for a pattern that is none.
        """
        found = set(self.files)
        for folder in self.folders:
            found.update(self._names(path for ending in ENDINGS for path in (self.root / folder).rglob(f"*{ending}")))
        for pattern in self.patterns:
            found.update(self._names(self._fitting(pattern)))
        return tuple(sorted(found))

    def _fitting(self, pattern: str) -> tuple[Path, ...]:
        try:
            return tuple(self.root.glob(pattern))
        except (ValueError, NotImplementedError) as error:
            raise UsageError(f"the pattern {pattern!r} cannot be used: {error}") from None

    def _names(self, paths: Iterable[Path]) -> Iterable[str]:
        inside = ((path, path.relative_to(self.root).as_posix()) for path in paths if not path.is_dir())
        return (name for _, name in inside if not name.startswith(".git/"))


def scope_of(root: Path, here: Path, wanted: Iterable[str]) -> Scope:
    """What `wanted` names, as seen from the folder `here`; `root` is where names count from.

    A name that is no folder and has no `*`, `?` or `[` is a file, whether there is one or not.
    """
    files, folders, patterns = [], [], []
    for text in wanted:
        name = _name(root, here, text)
        path = root / name
        if path.is_dir():
            folders.append(name)
        elif any(sign in text for sign in _SIGNS) and not path.exists():
            patterns.append(name)
        else:
            files.append(name)
    return Scope(root=root, files=tuple(files), folders=tuple(folders), patterns=tuple(patterns))


def _name(root: Path, here: Path, text: str) -> str:
    return PurePosixPath(Path(os.path.relpath(here / text, root)).as_posix()).as_posix()


def _is_below(name: str, folder: str) -> bool:
    return folder == "." or name.startswith(f"{folder}/")


def _fits(name: str, pattern: str) -> bool:
    return _parts_fit(name.split("/"), pattern.split("/"))


def _parts_fit(names: list[str], patterns: list[str]) -> bool:
    """As `Path.glob` reads it: `*` stays inside one part, `**` is any number of parts."""
    if not patterns:
        return not names
    if patterns[0] == "**":
        return any(_parts_fit(names[skipped:], patterns[1:]) for skipped in range(len(names) + 1))
    return bool(names) and fnmatchcase(names[0], patterns[0]) and _parts_fit(names[1:], patterns[1:])
