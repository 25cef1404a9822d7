"""Puts results down: the whole file or nothing of it."""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
from pathlib import Path

from seqcheck.errors import UsageError

STANDARD_OUTPUT = Path("-")


def write_output(path: Path, text: str) -> None:
    """Write `text` to `path` in UTF-8 with line feeds, or to standard output for `-`.

    A file is written under a temporary name in the same folder and then renamed, so nobody ever sees half of it.

    Raises UsageError if it cannot be written; what was there before is still there then.
    """
    if path == STANDARD_OUTPUT:
        sys.stdout.write(text)
        sys.stdout.flush()
        return
    write_output_bytes(path, text.encode("utf-8"))


def write_output_bytes(path: Path, data: bytes) -> None:
    """Write `data` to the file `path`, whole or not at all.

    Raises UsageError if it cannot be written; what was there before is still there then.
    """
    try:
        _write_whole(path, data)
    except OSError as error:
        raise UsageError(f"cannot write {path}: {error.strerror or error}") from None


def refuse_unless_writable(path: Path) -> None:
    """Find out before long work whether its result can be put down. Raises UsageError if not."""
    if path == STANDARD_OUTPUT:
        return
    if path.is_dir():
        raise UsageError(f"cannot write {path}: it is a folder")
    if not path.parent.is_dir():
        raise UsageError(f"cannot write {path}: there is no folder {path.parent}")
    if not os.access(path.parent, os.W_OK):
        raise UsageError(f"cannot write {path}: nothing may be written into {path.parent}")


def _write_whole(path: Path, data: bytes) -> None:
    number, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(number, "wb") as file:
            file.write(data)
        Path(temporary).chmod(_usual_mode())
        Path(temporary).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(temporary).unlink()
        raise


def _usual_mode() -> int:
    """What a new file may be used for by whom; temporary files are for their owner alone."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def ready_folder(path: Path) -> None:
    """Make the folder `path` unless it is there. Raises UsageError if that cannot be done."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UsageError(f"cannot make the folder {path}: {error.strerror or error}") from None
