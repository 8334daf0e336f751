"""What all tests share: nothing of the person's own is read or written, and no session is left open."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """A worker a core for all tests; none for a few asked for by name, which are done before workers have started."""
    return None if config.args_source is pytest.Config.ArgsSource.TESTPATHS else 0


@pytest.fixture(scope="session")
def not_asked_for(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the person's own places are taken to be: nothing may ever be kept there."""
    return tmp_path_factory.mktemp("not-asked-for")


@pytest.fixture(autouse=True)
def nobodys_home(not_asked_for: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A test that keeps something without asking for :func:`home` fails; so does one whose programs do."""
    monkeypatch.delenv("PURLSIDE_HOME", raising=False)
    for name, place in (("XDG_DATA_HOME", "data"), ("XDG_CONFIG_HOME", "settings")):
        monkeypatch.setenv(name, str(not_asked_for / place))
    yield
    if kept := [str(path.relative_to(not_asked_for)) for path in not_asked_for.glob("*/purlside")]:
        shutil.rmtree(not_asked_for)
        not_asked_for.mkdir()
        pytest.fail(f"this test keeps something in the person's own places ({', '.join(kept)}): it wants `home`")


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
