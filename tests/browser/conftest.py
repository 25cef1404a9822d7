"""Debian's chromium, driven by playwright; without them these tests are skipped with the reason."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One browser for all tests of a process."""
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if CHROMIUM is None:
        pytest.skip("no chromium on the PATH (Debian: apt-get install chromium)")
    with playwright.sync_playwright() as started:
        # Build servers run as root, for whom the browser has no sandbox; it opens nothing but files of these tests.
        opened = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()
