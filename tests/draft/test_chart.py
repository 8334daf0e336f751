"""The chart: rows and needles where they are, crossings as they lean from either side, what cannot be knit in its place."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Side
from purlside.draft.chart import ChartView, DrawnChart, draw, extent, top_for
from purlside.draft.chartsigns import ASCII, UNICODE, legend
from purlside.draft.drafting import Draft
from purlside.fabric.stitches import Fabric, Face
from purlside.plan.plan import Plan
from purlside.rows.checking import faults
from purlside.text import signs
from tests.plans import cable, plan, plans


def drawn(
    made: Plan, face: Face = Face.KNIT, *, top: int = 12, height: int = 14, width: int = 80, **more: Any
) -> DrawnChart:
    cursor = more.pop("cursor", (int(made.panel.needles.left), 1))
    return draw(ChartView(made, face, top, height, width, cursor, **more))


def lines(made: Plan, face: Face = Face.KNIT, **more: Any) -> list[str]:
    return signs.text(drawn(made, face, **more).lines).splitlines()


def row(made: Plan, number: int, face: Face = Face.KNIT, **more: Any) -> str:
    """One row's stitches, without its number and the panel's edges."""
    made_chart = drawn(made, face, **more)
    y = made_chart.rows.index(number)
    text = signs.text([made_chart.lines[y]])[made_chart.gutter + 1 :][: made_chart.per * len(made_chart.places)]
    return text.replace("▕", " ").replace("▏", " ")


def test_row_one_is_lowest_and_the_knit_side_is_mirrored() -> None:
    text = lines(plan(cable()))
    # Crossing rows, every fifth and the cursor's are numbered.
    assert [line[:4].strip() for line in text[1:-1]] == ["12", "", "10", "", "8", "", "", "5", "", "", "", "►  1"]
    assert text[0].split() == ["R6", "R5", "R1", "L1", "L5", "L6"]
    assert lines(plan(cable()), Face.PURL)[0].split() == ["L6", "L5", "L1", "R1", "R5", "R6"]


def test_a_right_cross_leans_right_from_both_sides_with_the_half_on_top_told() -> None:
    made = plan(cable("R1-R3 over L3-L1"), needles="L4-R4")
    assert row(made, 8, width=20) == " ///─── "
    assert row(made, 8, Face.PURL, width=20) == " ///─── "
    left = plan(cable("L3-L1 over R1-R3"), needles="L4-R4")
    assert row(left, 8, width=20) == " ───\\\\\\ "
    assert row(left, 8, Face.PURL, width=20) == " ───\\\\\\ "


@given(plans(), st.sampled_from(Face))
def test_a_chart_leans_as_the_fabric_does(made: Plan, face: Face) -> None:
    fabric = Fabric(made)
    for number in list(fabric.crossing_rows(1, 12))[:3]:
        stitches = row(made, number, face, width=300)
        for each in fabric.row(number).crossings:
            place = each.over(face)[0][0]
            right, left = extent(made)[1], extent(made)[0]
            seen = (right - place if face is Face.KNIT else place - left) * 3 + 1
            assert stitches[seen] == ("/" if each.lean(face) is Side.RIGHT else "\\")


def test_between_crossings_the_cable_can_be_followed_and_above_its_last_it_ends() -> None:
    made = plan(cable(times=2), needles="L4-R4", rows=30)
    assert row(made, 12, width=20) == " │    │ "
    assert row(made, 7, width=20) == row(made, 17, top=20, width=20) == "        "


def test_ladders_stand_in_every_row() -> None:
    made = plan(cable("R1-R2 over L2-L1"), needles="L4-R4", out=["L3", "R4"])
    assert row(made, 2, width=20) == "×     × "
    assert row(made, 8, width=20) == "× //──× "


def test_a_crossing_beyond_the_panel_or_over_a_ladder_is_marked_where_it_was_put() -> None:
    beyond = plan(cable("R4-R6 over R1-R3"), needles="L4-R4")
    assert extent(beyond) == (-4, 5)
    assert row(beyond, 8, width=20, faulty=frozenset({0})) == "!!/───    "
    idle = plan(cable(), needles="L4-R4", out=["R2"])
    assert row(idle, 8, width=20, faulty=frozenset({0})) == " /!/─── "
    assert "8 !" in lines(idle, width=20, faulty=frozenset({0}))[5]


def test_the_cable_in_hand_has_edges_of_its_own_at_every_width() -> None:
    made = plan(cable(), needles="L5-R5")
    assert row(made, 9, width=24, selected=(0,)).strip() == "┃    ┃"
    assert row(made, 9, width=24).strip() == "│    │"
    assert row(made, 9, width=60, selected=(0,)).split() == ["┃", "┃"]


def test_a_crossing_is_one_ribbon_without_a_gap_where_needles_are_wide_apart() -> None:
    made = plan(cable(), needles="L5-R5")
    assert "///////───────" in row(made, 8, width=60).replace(" ", "")
    assert " / " not in row(made, 8, width=60)


def test_the_ground_is_blank_but_for_every_tenth_needle_and_row() -> None:
    made = plan(needles="L12-R12", rows=30)
    assert row(made, 9, Face.PURL, width=40) == "  ┊                  ┊  "
    assert row(made, 10, Face.PURL, width=40) == "··┊··················┊··"


def test_purl_columns_and_beads_stand_where_they_are_made() -> None:
    made = plan(
        needles="L4-R4",
        rows=20,
        stitch=[
            {"needles": "L2", "do": "purl", "first_row": 8, "every": 4, "times": 2},
            {"needles": "R2", "do": "bead", "first_row": 6},
        ],
    )
    column = [row(made, number, Face.PURL, width=20)[2] for number in range(1, 13)]
    assert "".join(column) == "    --------"
    assert row(made, 6, Face.PURL, width=20)[5] == "●" and row(made, 7, Face.PURL, width=20)[5:6].strip() == ""


def test_the_panels_edges_are_where_they_are_in_each_row() -> None:
    made = plan(
        needles="L6-R6",
        rows=30,
        shape=[{"edge": "both", "do": "decrease", "first_row": 5, "every": 2, "times": 3}],
    )
    found = drawn(made, Face.PURL, width=40)
    texts = {n: signs.text([line]) for n, line in zip(found.rows, found.lines, strict=True) if n}
    assert (
        texts[1].rindex("▏") - texts[1].index("▕") == 3 * 12 + 1
        or texts[1].rindex("▏") - texts[1].index("▕") == 2 * 12 + 1
    )
    widths = [texts[n].rindex("▏") - texts[n].index("▕") for n in (4, 5, 7, 9)]
    assert widths == sorted(widths, reverse=True) and len(set(widths)) == 4


def test_a_part_stands_above_the_panel_on_its_own_needles_and_is_named() -> None:
    made = plan(needles="L6-R6", rows=10, part=[{"name": "right side", "needles": "R2-R6", "rows": 8}])
    found = drawn(made, Face.PURL, top=14, width=80)
    texts = {n: signs.text([line]) for n, line in zip(found.rows, found.lines, strict=True) if n}
    assert texts[11].endswith("right side") and "right side" not in texts[12]
    assert texts[12].rindex("▏") - texts[12].index("▕") < texts[10].rindex("▏") - texts[10].index("▕")
    made_draft = Draft(made)
    made_draft.go(0, 99)
    assert made_draft.row == 18


def test_bands_and_reminders_stand_beside_their_rows() -> None:
    made = plan(
        band=[{"rows": "3-5", "stitch_size": 4, "colour": "slate"}],
        reminder=[{"first_row": 2, "every": 5, "text": "[b]hang a marker[/b]"}],
    )
    text = lines(made)[::-1]
    assert text[5].endswith("│ SS 4 slate") and text[4].rstrip().endswith("│") and "│" not in text[6]
    assert text[2].endswith("> [b]hang a marker[/b]") and text[7].endswith("> [b]hang a marker[/b]")
    narrow = lines(made, width=60)[::-1]
    assert narrow[2].endswith("…") and "> [b]hang" in narrow[2] and len(narrow[2]) <= 60


def test_a_reminder_hides_no_band() -> None:
    made = plan(
        cable(), band=[{"rows": "3-5", "stitch_size": 4}], reminder=[{"row": 5, "text": "look"}], needles="L6-R6"
    )
    assert drawn(made).rows.index(5) and any("SS 4 > look" in line for line in lines(made, width=60))


def test_where_knitting_has_come_to_is_marked() -> None:
    text = lines(plan(cable()), knit=5)
    assert [line[:4].strip() for line in text if "═" in line] == [""]


@pytest.mark.parametrize("width", [20, 40, 80, 200])
@given(made=plans(), face=st.sampled_from(Face), data=st.data())
def test_no_line_is_too_long_and_what_is_pointed_at_is_what_is_drawn_there(
    width: int, made: Plan, face: Face, data: st.DataObject
) -> None:
    cursor = (data.draw(st.integers(*extent(made))), data.draw(st.integers(1, made.panel.rows)))
    height = 12
    top = top_for(cursor[1], made.panel.rows, height, 1)
    shown = drawn(made, face, top=top, height=height, width=width, cursor=cursor)
    for line in signs.text(shown.lines).splitlines():
        assert len(line) <= width
    assert cursor[1] in shown.rows and cursor[0] in shown.places
    y = shown.rows.index(cursor[1])
    x = next(x for x in range(width) if shown.place(x, y) == cursor)
    assert signs.text([shown.lines[y]])[x : x + shown.per].strip()
    assert shown.place(0, y) is None and shown.place(x, 0) is None


def test_needles_in_sight_stay_while_the_cursor_moves_within_them() -> None:
    made = plan(needles="L50-R50")
    first = drawn(made, width=50, cursor=(0, 1))
    left = min(first.places)
    again = drawn(made, width=50, cursor=(5, 1), left=left)
    assert again.places == first.places
    far = drawn(made, width=50, cursor=(40, 1), left=left)
    assert 40 in far.places and far.places != first.places
    assert "‹" in signs.text(far.lines) or "›" in signs.text(far.lines)


def test_every_sign_of_a_chart_is_in_its_legend_and_plain_ascii_where_asked() -> None:
    made = plan(
        cable(), cable("R6-R8 over R5", name="off", ease="plain"), out=["L6"],
        band=[{"rows": "1-3", "stitch_size": 4}], reminder=[{"row": 5, "text": "look"}],
    )  # fmt: skip
    assert faults(made)
    for glyphs in (UNICODE, ASCII):
        known = "".join(sign for sign, _ in legend(glyphs))
        for face in Face:
            text = lines(made, face, glyphs=glyphs, selected=(0,), faulty=frozenset({1}), knit=4)
            signs = {c for line in text for c in line if not c.isalnum() and c not in " …~"}
            assert signs <= set(known), signs - set(known)
            if glyphs is ASCII:
                assert all(line.isascii() for line in text)


@given(st.integers(1, 500), st.integers(3, 60), st.integers(1, 600), st.data())
def test_the_cursor_is_always_in_sight_and_no_room_is_wasted(
    rows: int, height: int, before: int, data: st.DataObject
) -> None:
    cursor = data.draw(st.integers(1, rows))
    top = top_for(cursor, rows, height, before)
    room = max(1, height - 2)
    assert top - room < cursor <= top
    if rows >= room:
        assert room <= top <= rows
