"""Writes the texts in expected/ anew: `python tests/cli/rewrite_expected.py`. Read the difference before you keep it."""

import sys
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS), str(TESTS.parent)]

from cli.printed import EXPECTED, PRINTED  # noqa: E402  the path comes first

if __name__ == "__main__":
    for name, text in PRINTED.items():
        (EXPECTED / name).write_text(text(), encoding="utf-8", newline="\n")
