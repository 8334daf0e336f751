"""The fabric from the command line: drawn, or told in sentences, never one in the other's place."""

from __future__ import annotations

from pathlib import Path

import pytest

from purlside.commands.main import main
from tests.keep.test_draftfile import COMMENTED

pytestmark = pytest.mark.usefixtures("home")


def test_sentences_are_not_asked_for_and_a_drawing_given(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan, out = tmp_path / "jetty.toml", tmp_path / "out.svg"
    plan.write_text(COMMENTED, "utf-8")
    assert main(["picture", str(plan), "--describe", "-o", str(out)]) == 2
    assert "give one of them" in capsys.readouterr().err and not out.exists()
    assert main(["picture", str(plan), "-o", str(out)]) == 0
    assert "seen from the knit side" in out.read_text("utf-8"), "as the drawing's own text"
