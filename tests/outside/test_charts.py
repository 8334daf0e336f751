"""What is published of reading charts, against the fabric as it is drawn."""

from __future__ import annotations

from purlside.fabric.picture import picture_text
from purlside.fabric.stitches import Face
from tests.plans import cable, plan


def test_the_fabric_is_drawn_as_charts_are_read_from_the_bottom_up_the_right_side_from_the_right() -> None:
    """Craft Yarn Council, how to read a knitting chart: row 1 at the bottom; stitch 1 of a right-side row at the right.

    On the knit side the needles run the other way than at the bed, so the first stitch a carriage knits to the right,
    the one at the left of the bed, stands at the right.
    """
    head, *drawn = picture_text(plan(cable("L6 over L5", first_row=2, every=None), rows=4), Face.KNIT).splitlines()
    assert "needles R6 to L6" in head
    rows = [line for line in drawn if line.strip()[:1].isdigit()]
    assert [int(line.split()[0]) for line in rows] == [4, 3, 2, 1]
