"""What all tests share: nothing of the person's own is read or written, and no session is left open."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """A worker a core for all tests; none for a few asked for by name, which are done before workers have started."""
    return None if config.args_source is pytest.Config.ArgsSource.TESTPATHS else 0


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
