"""One repository a test, and one memory of results for all of them."""

from pathlib import Path

import pytest
from gate.workshop import Workshop, opened


@pytest.fixture
def workshop(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Workshop:
    """A repository with the press on main; results are shared, which is what the cache is for."""
    monkeypatch.setenv("SEQCHECK_CACHE", str(tmp_path_factory.getbasetemp() / "gate-cache"))
    return opened(tmp_path / "work", monkeypatch)
