"""Remembers results by what they depend on. Safe for several programs at once; what is damaged or of another version is not used.

An entry is one file, written whole under a temporary name and renamed, so a reader sees all of it or none. Its name is the digest
of everything the result depends on; inside, the digest is said again beside that of the content, so a file that was
moved, cut off or edited is found out and passed over. The key holds a digest of the program's own source: two versions never
share an entry, even where nobody raised a version number.
"""

from __future__ import annotations

import hashlib
import json
import platform
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from seqcheck.errors import UsageError
from seqcheck.gate.plain import NotPlainError, from_plain, to_plain
from seqcheck.gate.result import SequenceResult

FORMAT = 1
"""Raised whenever an entry's form changes."""

LONGEST_ENTRY_BYTES = 50_000_000
"""Bytes; a large file's result has some hundred thousand."""

PACKAGE = Path(__file__).parents[1]
"""Where this program's text is."""

WriteBytes = Callable[[Path, bytes], None]
"""Puts a file down whole or not at all. Raises UsageError if it cannot."""


@lru_cache(maxsize=1)
def program_version() -> str:
    """What decides a result besides its input: the text of this program and the version of Python."""
    found = hashlib.sha256(f"{FORMAT} {platform.python_version()}".encode())
    for path in sorted((*PACKAGE.rglob("*.py"), *PACKAGE.rglob("*.lark"))):
        content = path.read_bytes()
        found.update(f"{path.relative_to(PACKAGE).as_posix()} {len(content)}\n".encode())
        found.update(content)
    return found.hexdigest()


@dataclass(frozen=True, slots=True)
class Cache:
    """The folder of the entries, and what writes them."""

    folder: Path
    write: WriteBytes

    def find(self, key: str) -> SequenceResult | None:
        """The result kept under `key`, or None if there is none that can be trusted."""
        try:
            with self._path(key).open("rb") as file:
                content = file.read(LONGEST_ENTRY_BYTES + 1)
            data = json.loads(content)
            is_whole = isinstance(data, dict) and data.get("key") == key and data.get("digest") == _digest(data.get("result"))
            return from_plain(SequenceResult, data["result"]) if is_whole else None
        except (OSError, ValueError, RecursionError, NotPlainError):
            return None

    def keep(self, key: str, result: SequenceResult) -> None:
        """Keep `result` under `key`. Raises UsageError if it cannot be written."""
        plain = to_plain(result)
        data = {"format": FORMAT, "key": key, "digest": _digest(plain), "result": plain}
        path = self._path(key)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise UsageError(f"cannot make the folder {path.parent}: {error.strerror or error}") from None
        self.write(path, _text(data).encode())

    def _path(self, key: str) -> Path:
        return self.folder / key[:2] / f"{key}.json"


def _digest(plain: object) -> str:
    return hashlib.sha256(_text(plain).encode()).hexdigest()


def _text(plain: object) -> str:
    return json.dumps(plain, sort_keys=True, separators=(",", ":"))
