"""Published cable abbreviations, against the hand-knit instruction itself, stitch by stitch.

Craft Yarn Council, knitting abbreviations: 3/3 LC, "slip 3 stitches to a cable
needle, hold in front, k3, k3 from the cable needle"; RC, hold in back (the
wording from memory). C6F leans left, C6B leans right.
"""

import re
from dataclasses import dataclass, field

import pytest

from purlside.bed.needles import Crossing, Needle, Side
from purlside.fabric.stitches import Fabric, Face
from purlside.fabric.written import held_name, instruction, name, parse
from purlside.files.planfile import parse as parse_plan
from tests.plans import strands_after

# (as published, stitches slipped, held, stitches knit first)
PUBLISHED = [
    ("1/1 LC", 1, "front", 1),
    ("1/1 RC", 1, "back", 1),
    ("2/1 LC", 2, "front", 1),
    ("2/1 RC", 1, "back", 2),
    ("2/2 LC", 2, "front", 2),
    ("2/2 RC", 2, "back", 2),
    ("1/3 LC", 1, "front", 3),
    ("1/3 RC", 3, "back", 1),
    ("3/3 LC", 3, "front", 3),
    ("3/3 RC", 3, "back", 3),
    ("C4F", 2, "front", 2),
    ("C4B", 2, "back", 2),
    ("C6F", 3, "front", 3),
    ("C6B", 3, "back", 3),
    ("C8F", 4, "front", 4),
    ("1/1 LT", 1, "front", 1),
    ("1/1 RT", 1, "back", 1),
]


@dataclass
class HandKnitting:
    """Two needles and a cable needle, the knit side facing; the row is worked from right to left.

    ``left`` begins with the stitch at the tip, the rightmost; ``right`` ends
    with the stitch worked last.
    """

    left: list[int]
    right: list[int] = field(default_factory=list)
    cable: list[int] = field(default_factory=list)

    def slip_to_cable_needle(self, count: int) -> None:
        self.cable = [self.left.pop(0) for _ in range(count)]

    def knit(self, count: int) -> None:
        self.right += [self.left.pop(0) for _ in range(count)]

    def knit_from_cable_needle(self, count: int) -> None:
        self.right += [self.cable.pop(0) for _ in range(count)]


def by_hand(slip: int, hold: str, knit: int) -> tuple[list[int], set[int]]:
    """The stitches after, from left to right on the knit side, and those that lie in front.

    Stitches are numbered from left to right on the knit side, before.
    """
    width = slip + knit
    work = HandKnitting(left=list(range(width))[::-1])
    work.slip_to_cable_needle(slip)
    held = set(work.cable)
    work.knit(knit)
    work.knit_from_cable_needle(slip)
    front = held if hold == "front" else set(range(width)) - held
    return work.right[::-1], front


def at_the_bed(crossing: Crossing) -> tuple[list[int], set[int]]:
    """The same, from a crossing replayed on the bed and looked at from the knit side."""
    plan = parse_plan(
        'format = 1\ntitle = "Sea holly"\n[machine]\npitch_mm = 4.5\n[panel]\nneedles = "L9-R9"\nrows = 2\n'
        f'stitch_size = 5\n[[cable]]\nname = "one"\ncross = "{crossing}"\nfirst_row = 1\n',
        "sea-holly.toml",
    )
    fabric = Fabric(plan)
    [made] = fabric.row(1).crossings
    seen = list(Face.KNIT.order(int(crossing.span.left), int(crossing.span.right)))
    number = {place: i for i, place in enumerate(seen)}
    hangs = {int(n): strand for n, strand in zip(fabric.panel, strands_after(fabric, 1), strict=True)}
    return [number[int(hangs[place])] for place in seen], {number[int(came)] for came, _ in made.over(Face.KNIT)}


@pytest.mark.parametrize(("written", "slip", "hold", "knit"), PUBLISHED)
@pytest.mark.parametrize("left", ["L4", "L1", "R2"])
def test_what_is_crossed_at_the_bed_is_what_the_hand_knitter_makes(
    written: str, slip: int, hold: str, knit: int, left: str
) -> None:
    crossing = parse(written, Needle.parse(left))
    assert at_the_bed(crossing) == by_hand(slip, hold, knit)
    assert crossing.span.left == Needle.parse(left)


@pytest.mark.parametrize(("written", "slip", "hold", "knit"), PUBLISHED)
def test_the_instruction_printed_is_the_one_published(written: str, slip: int, hold: str, knit: int) -> None:
    found = re.fullmatch(
        r"slip (\d+) to the cable needle, hold in (front|back), k(\d+), k(\d+) from the cable needle",
        instruction(parse(written, Needle.parse("L3"))),
    )
    assert found
    assert (int(found[1]), found[2], int(found[3]), int(found[4])) == (slip, hold, knit, slip)


@pytest.mark.parametrize(("written", "slip", "hold", "knit"), PUBLISHED)
def test_every_published_cable_is_printed_back_as_it_was_read(written: str, slip: int, hold: str, knit: int) -> None:
    crossing = parse(written, Needle.parse("R1"))
    assert written.replace("T", "C") in {name(crossing), held_name(crossing)}


@pytest.mark.parametrize(("written", "lean"), [("3/3 RC", Side.RIGHT), ("3/3 LC", Side.LEFT), ("C6F", Side.LEFT)])
def test_the_letter_is_the_way_the_front_strand_leans_on_the_knit_side(written: str, lean: Side) -> None:
    order, front = at_the_bed(parse(written, Needle.parse("L3")))
    moved = {order.index(stitch) - stitch for stitch in front}
    assert all((step > 0) is (lean is Side.RIGHT) for step in moved)
