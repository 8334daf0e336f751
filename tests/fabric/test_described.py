"""The fabric in sentences."""

from pathlib import Path

import pytest

from purlside.fabric.described import describe, rows_text, summary
from purlside.fabric.stitches import Fabric, Face
from purlside.files.planfile import read
from tests.fabric.test_stitches import LEFT_IN_FRONT, RIGHT_IN_FRONT, panel

PATTERNS = Path(__file__).parents[2] / "patterns"


def told(
    *cables: str, face: Face = Face.KNIT, rows: tuple[int, int] | None = None, extra: str = "", out: str = "[]"
) -> str:
    return "\n".join(describe(panel(*cables, extra=extra, out=out), face, rows))


def test_a_rope_is_told_with_its_front_its_lean_and_its_rows() -> None:
    assert "\n" + (
        "cable 1: 3 over 3, written 3/3 RC or C6B (a hand knitter would slip 3 to the cable needle, hold in back, k3, "
        "k3 from the cable needle). The right half at the bed, R1–R3, lies in front on the knit side and leans right there, over L3–L1. It takes needles R3 to L3 from left to right here. Crossed after rows 8 and 16."
    ) in told(RIGHT_IN_FRONT)


def test_the_purl_side_is_told_which_half_lies_on_top_there() -> None:
    assert "On the purl side R1–R3 lies on top and leans left too." in told(LEFT_IN_FRONT, face=Face.PURL)


def test_how_the_stitches_were_prepared_is_told() -> None:
    both = told(RIGHT_IN_FRONT + '\nease = ["enlarge", "extra rows"]\nenlarged_size = 9\nextra_rows = 2')
    assert "the half in front has 2 extra rows and the half behind is knit at SS 9" in both
    assert "the half in front is knit by hand" in told('cross = "R1 over L1"\nfirst_row = 8\nease = "by hand"')


def test_crossings_taken_in_turn_are_told_apart() -> None:
    wave = told('cross = ["R1 over L1", "L1 over R1"]\nfirst_row = 2\nevery = 4')
    assert "1/1 RC" in wave
    assert "rows 2 to 18, every 8 (3 times)" in wave
    assert "1/1 LC" in wave
    assert "rows 6 and 14" in wave


def test_ladders_and_bands_are_told() -> None:
    text = told(extra='[[band]]\nrows = "3-5"\nstitch_size = 7\ncolour = "slate"', out='["L5"]')
    assert "Out of work, a ladder each: L5" in text
    assert "Rows 3–5: SS 7, in slate." in text
    assert "plain fabric" in text


def test_only_the_rows_asked_for_are_told() -> None:
    assert "Crossed after row 16." in told(RIGHT_IN_FRONT, rows=(10, 20))
    assert "plain fabric" in told(RIGHT_IN_FRONT, rows=(9, 15))


def test_what_cannot_be_knit_is_told_with_its_rows() -> None:
    text = told(RIGHT_IN_FRONT, 'cross = "R3-R4 over R1-R2"\nfirst_row = 8\nevery = 8')
    assert "Cannot be knit like this, rows 8 and 16:" in text


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([8], "8"),
        ([8, 16], "8 and 16"),
        ([8, 16, 24], "8 to 24, every 8 (3 times)"),
        ([3, 5, 7, 20], "3 to 7, every 2 (3 times) and 20"),
        ([1, 5, 20, 30, 40, 61], "1, 5, 20 to 40, every 10 (3 times) and 61"),
    ],
)
def test_rows_are_listed_briefly(rows: list[int], words: str) -> None:
    assert rows_text(rows) == words


def test_a_list_without_any_order_is_told_to_its_end() -> None:
    squares = [n * n for n in range(1, 31)]
    assert rows_text(squares) == ", ".join(map(str, squares[:-1])) + " and 900"


def test_a_summary_names_side_rows_and_cables() -> None:
    assert summary(Fabric(panel(RIGHT_IN_FRONT)), Face.KNIT, (1, 9)) == (
        "Eel grass, knit side, rows 1–9; crossed: cable 1"
    )


@pytest.mark.parametrize(("rows", "there"), [((1, 4), False), ((1, 5), True), ((9, 12), True), ((10, 12), False)])
def test_a_band_is_told_where_a_row_of_it_is_seen(rows: tuple[int, int], there: bool) -> None:
    fabric = Fabric(panel(extra='[[band]]\nrows = "5-9"\ncolour = "slate"'))
    assert any("slate" in line for line in describe(fabric, Face.KNIT, rows)) is there


def test_a_cable_that_moves_with_an_edge_is_told_once_and_each_side_of_a_neck_by_itself() -> None:
    front = read(PATTERNS / "slipway-jersey-front.toml").plan
    told = describe(front)
    (strand,) = (line for line in told if line.startswith("left strand"))
    assert "It moves with the left edge at the bed" in strand and "stitches 3–4" in strand and "stitches 5–6" in strand
    assert strand.endswith("Crossed after rows 166 to 244, every 6 (14 times).")
    shaped = "rows 163 to 168, every 1 (6 times) and 170 to 178, every 2 (5 times)"
    assert f"Both edges: decrease 1, {shaped}." in told
    inner = "decrease 1, rows 227 to 232, every 1 (6 times) and 234 to 244, every 2 (6 times)"
    edges = {line.partition(": ")[0]: line for line in told if "shoulder, " in line}
    assert list(edges) == [
        "Right shoulder, neck edge, on the left as you sit at the bed",
        "Right shoulder, outer edge, on the right as you sit at the bed",
        "Left shoulder, neck edge, on the right as you sit at the bed",
        "Left shoulder, outer edge, on the left as you sit at the bed",
    ]
    assert all(inner in line for edge, line in edges.items() if "neck" in edge)
    assert all("short row: rest" in line and "decrease" not in line for edge, line in edges.items() if "outer" in edge)
    # Each part's edges stand under its beginning.
    begins = [i for i, line in enumerate(told) if "shoulder begins" in line]
    assert [told[i + 1].startswith(told[i].partition(" begins")[0]) for i in begins] == [True, True]
