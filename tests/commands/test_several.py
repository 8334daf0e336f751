"""Several plans at once: the pieces of a garment."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from purlside.commands.main import main

JERSEY = Path(__file__).parents[2] / "patterns"
BACK, FRONT, SLEEVE = (str(JERSEY / f"slipway-jersey-{piece}.toml") for piece in ("back", "front", "sleeve"))


def test_the_yarn_and_the_time_of_a_garment_are_those_of_its_pieces(capsys: pytest.CaptureFixture[str]) -> None:
    pieces = (BACK, FRONT, SLEEVE, SLEEVE)
    each = []
    for piece in pieces:
        assert main(["figures", "--json", piece]) == 0
        each.append(json.loads(capsys.readouterr().out))
    assert main(["figures", "--json", *pieces]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["plans"] == each
    assert told["together"]["pieces"] == [one["title"] for one in each]
    (need,) = told["together"]["yarn"]["needs"]
    assert need["metres"] == pytest.approx(sum(one["yarn"]["needs"][0]["metres"] for one in each), abs=0.3)
    assert need["grams"] == pytest.approx(sum(one["yarn"]["needs"][0]["grams"] for one in each), abs=0.3)
    assert told["together"]["time"]["seconds"] == pytest.approx(sum(one["time"]["seconds"] for one in each), abs=3)


def test_a_piece_knit_twice_is_said_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["figures", BACK, SLEEVE, SLEEVE]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "All together: Slipway jersey, back; Slipway jersey, sleeve, knit 2" in out
    assert out.count("Slipway jersey, sleeve: figures") == 1
    assert "Slipway jersey, sleeve: figures, knit 2; these are of one" in out


def test_all_are_checked_and_the_worst_decides(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    faulty = tmp_path / "faulty.toml"
    faulty.write_text(Path(SLEEVE).read_text("utf-8").replace('"L4-L1 over R1-R4"', '"L4-L1 over R80-R84"'), "utf-8")
    unreadable = tmp_path / "unreadable.toml"
    unreadable.write_text("format = ", "utf-8")
    assert main(["check", BACK, FRONT, SLEEVE]) == 0
    out, err = capsys.readouterr()
    assert [line.split(":")[0] for line in out.splitlines() if "without a fault" in line] == [
        f"Slipway jersey, {piece}" for piece in ("back", "front", "sleeve")
    ]
    assert not err
    assert main(["check", BACK, str(faulty), SLEEVE]) == 1
    out, err = capsys.readouterr()
    assert "faulty.toml" in err
    assert out.count("without a fault") == 2
    assert main(["check", str(unreadable), str(faulty), str(tmp_path / "none.toml"), BACK]) == 2
    out, err = capsys.readouterr()
    assert all(name in err for name in ("unreadable.toml", "faulty.toml", "none.toml"))
    assert out.count("without a fault") == 1
