"""What all tests share: nothing of the person's own is read or written, and no session is left open."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder for everything kept; sound is off."""
    folder = tmp_path / "kept"
    monkeypatch.setenv("PURLSIDE_HOME", str(folder))
    monkeypatch.setenv("PURLSIDE_SOUND", "off")
    yield folder
    from tests.sessions import OPEN

    while OPEN:
        OPEN.pop().close()
