"""What the commands' tests share."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.shell import PLAN


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("plans") / "slipway.toml"
    path.write_text(PLAN, encoding="utf-8")
    return path
