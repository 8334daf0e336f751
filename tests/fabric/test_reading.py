"""Written patterns: what a page of a hand-knitting pattern says, row by row."""

import pytest

from purlside.fabric.pattern import Pattern, RemarkKind, drawn, words
from purlside.fabric.reading import read
from purlside.fabric.stitchwords import read_row

ROPE = """\
Harbour rope

Cast on 28 sts.
Row 1 (RS): *p2, k6, p2, k4; rep from * to end.
Row 2 and all WS rows: work as they appear.
Rows 3 and 7: as row 1.
Row 5: *p2, 3/3 RC, p2,
k4; rep from *.
Repeat rows 1-8.
"""


def faces(pattern: Pattern) -> list[str]:
    return [row.faces for row in pattern.rows]


def wrong(pattern: Pattern) -> list[str]:
    return [str(remark) for remark in pattern.remarks if remark.kind is RemarkKind.WRONG]


def one(text: str, stitches: int) -> str:
    """The faces of one row, worked over so many stitches."""
    pattern = read(f"Row 1 (RS): {text}", stitches)
    assert not wrong(pattern), wrong(pattern)
    return pattern.rows[0].faces


def test_a_rope_on_purl_ground_is_read_whole() -> None:
    pattern = read(ROPE)
    assert (pattern.title, pattern.stitches, pattern.repeat) == ("Harbour rope", 28, (1, 8))
    assert faces(pattern) == ["ppkkkkkkppkkkk" * 2] * 8
    assert [[(p.place, p.cross.name) for p in row.crossed] for row in pattern.rows] == [
        *[[]] * 4,
        [(2, "3/3 RC"), (16, "3/3 RC")],
        *[[]] * 3,
    ]
    assert not pattern.remarks


@pytest.mark.parametrize(
    ("text", "stitches", "seen"),
    [
        ("k2, p2", 4, "kkpp"),
        ("Knit.", 5, "kkkkk"),
        ("P to last 2 sts, k2", 6, "ppppkk"),
        ("*k1, p1; rep from * to last st, k1", 7, "kpkpkpk"),
        ("*K1, P1, rep from *, k1", 7, "kpkpkpk"),
        ("[k2, p1] 2 times, k1", 7, "kkpkkpk"),
        ("(k2, p1) twice, k to end", 9, "kkpkkpkkk"),
        ("p1, *[k1, p1] twice, k2; rep from * to last 2 sts, p2", 15, "pkpkpkkkpkpkkpp"),
        ("k1, *p2, k2; rep from * 2 more times, p1", 14, "kppkkppkkppkkp"),
        ("k1, *p2, k2; rep from * 3 times in all, p1", 14, "kppkkppkkppkkp"),
        ("k2, T3F, k1", 6, "kkpkkk"),
        ("2/1 RPC, k1", 4, "kkpk"),
        ("C6B, p3", 9, "kkkkkkppp"),
        ("k1 tbl, p1, yo, k2tog", 4, "kpkk"),
        ("purl across", 3, "ppp"),
        ("knit 3, purl 2", 5, "kkkpp"),
    ],
)
def test_the_words_of_a_row(text: str, stitches: int, seen: str) -> None:
    assert one(text, stitches) == seen


def test_three_times_is_taken_as_the_stitches_come_out() -> None:
    """Publishers differ on whether the first time counts."""
    assert one("k1, *p2, k2; rep from * 3 times, p1", 14) == "kppkkppkkppkkp"
    assert one("k1, *p2, k2; rep from * 3 times, p1", 18) == "kppkkppkkppkkppkkp"


def test_a_wrong_side_row_is_turned_over() -> None:
    pattern = read("Row 1 (RS): k3, p2.\nRow 2 (WS): k2, p3.\nRow 3: k3, p2.\nRow 4: p1, k4.")
    assert faces(pattern) == ["kkkpp", "kkkpp", "kkkpp", "ppppk"]
    assert [row.right_side for row in pattern.rows] == [True, False, True, False]


@pytest.mark.parametrize(
    "ws",
    [
        "Row 2 and all WS rows: work the stitches as they appear.",
        "Row 2 (WS) and every following WS row: Knit the knit sts and purl the purl sts.",
        "Row 2 and every alternate row: K the k sts and p the p sts",
        "All WS rows: work sts as they face.",
        "Rows 2, 4 and 6 (WS): knit all knits, purl all purls",
    ],
)
def test_wrong_side_rows_that_follow_the_stitches(ws: str) -> None:
    pattern = read(f"Row 1 (RS): k3, p3.\n{ws}\nRow 3: p3, k3.\nRow 5: k6.")
    assert faces(pattern) == ["kkkppp", "kkkppp", "pppkkk", "pppkkk", "kkkkkk", "kkkkkk"][: len(pattern.rows)]
    assert len(pattern.rows) == 6
    assert not wrong(pattern)


def test_british_rows_and_a_multiple() -> None:
    pattern = read(
        "Multiple of 6 sts + 2\n1st row (RS): P2, *k4, p2; rep from * to end.\n2nd and every foll alt row: as sts appear\n"
        "3rd row: P2, *C4F, p2; rep from *.\nThese 4 rows form the pattern."
    )
    assert (pattern.stitches, pattern.repeat) == (8, (1, 4))
    assert [p.cross.name for p in pattern.rows[2].crossed] == ["2/2 LC"]


def test_rounds_are_all_right_side() -> None:
    pattern = read("Round 1: k2, p2\nRounds 2-4: as round 1")
    assert faces(pattern) == ["kkpp"] * 4
    assert all(row.right_side for row in pattern.rows)


def test_a_set_up_row_is_worked_once() -> None:
    pattern = read("Set-up row (WS): k2, p4, k2.\nRow 1: p2, C4B, p2.\nRow 2: k2, p4, k2.\nRepeat rows 1-2.")
    assert [(r.number, r.right_side, r.faces) for r in pattern.rows] == [
        (0, False, "ppkkkkpp"),
        (1, True, "ppkkkkpp"),
        (2, False, "ppkkkkpp"),
    ]
    assert pattern.repeat == (1, 2)


def test_cables_the_pattern_explains_itself_are_read_from_their_words() -> None:
    pattern = read(
        "C3L: slip next 2 sts onto cable needle and hold in front, k1, then k2 from cable needle.\n"
        "Cr3R = sl 1 st to cn, hold at back of work, k2, p1 from cn\n\nRow 1 (RS): C3L, p1, Cr3R"
    )
    assert [p.cross.name for p in pattern.rows[0].crossed] == ["2/1 LC", "2/1 RPC"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Row 1: k4, p2\nRow 2: as they appear\nRow 3: k4, p3", "line 3: row 3"),
        ("Row 1: k4, xyzzy, p2", "line 1: row 1, “xyzzy”"),
        ("Row 1: k4\nRow 2: p4\nRow 4: p4", "row 3: is not written"),
        ("Row 1 (RS): k4\nRow 2 (RS): p4", "line 2: row 2: said to be RS"),
        ("Row 1: k4; rep from *", "there is no *"),
        ("Row 1: [k4, p2", "not closed"),
        ("Row 1: k4, p2 (7 sts)", "says 7 sts, and its words make 6"),
        ("Row 1: k2tog, k2\nRow 2: p3", "shaping"),
        ("Cast on 20 sts\nRow 1: *p2, 3/3 RC; rep from * to end", "a repeat of 8 does not come out: 4 stitches left"),
        ("knit a while", "no rows found"),
        ("Row 1: as row 5", "does not come before it"),
    ],
)
def test_what_cannot_be_followed_is_said_with_its_line(text: str, said: str) -> None:
    told = [str(remark) for remark in read(text).remarks]
    assert any(said in each for each in told), told


def test_what_one_bed_cannot_do_is_left_out_and_said_with_its_place() -> None:
    pattern = read("Row 1 (RS): p1, 3/1/3 RC, p1, MB\nRow 2: k1, k1, p7, k1\nRow 3: 2/2 RC, k6\nRow 4: C4F, p6")
    told = [str(remark) for remark in pattern.remarks if remark.kind is RemarkKind.LEFT_OUT]
    assert told[0].startswith("line 1: row 1, 3/1/3 RC: three strands")
    assert told[1].startswith("line 1: row 1, MB: a bobble")
    assert told[2].startswith("line 4: row 4, 2/2 LC: a cable in a wrong-side row")
    assert pattern.rows[0].faces == "pkkkkkkkpk"


def test_rows_that_are_not_written_follow_the_stitches_and_that_is_said() -> None:
    pattern = read("Row 1 (RS): k2, p2\nRow 3: p2, k2\nRow 5: k4")
    assert faces(pattern) == ["kkpp", "kkpp", "ppkk", "ppkk", "kkkk"]
    assert ["wrong-side rows" in str(remark) for remark in pattern.remarks] == [True]


def test_the_pattern_is_drawn_from_the_knit_side_beside_its_text() -> None:
    lines = list(drawn(read("Row 1 (RS): p1, 2/1 LPC, k2"), ascii_only=True))
    # Place 0 is the right edge on the knit side; a left cross leans left.
    assert lines == [r"1 |  \\--| p1, 2/1 LPC, k2"]


def test_it_is_said_again_as_short_as_it_was() -> None:
    assert list(words(read(ROPE))) == [
        "Harbour rope",
        "Cast on 28 sts.",
        "Rows 1, 3 and 7 (RS): *p2, k6, p2, k4; rep from * to end.",
        "Row 2 and all WS rows: work the stitches as they appear.",
        "Row 5 (RS): *p2, 3/3 RC, p2, k4; rep from * to end.",
        "Repeat rows 1-8.",
    ]


@pytest.mark.parametrize(
    "text", ["(" * 200, "Row 1: " + "[" * 300, "Row 1: k99999", "Row 9999: k1", "Row 1: [k9] 9999 times", "\x00\x1b[2J"]
)
def test_nonsense_is_said_and_not_choked_on(text: str) -> None:
    assert read(text).wrong


def test_a_panel_that_begins_on_the_wrong_side_is_read_with_its_title_and_its_pairs_of_rows() -> None:
    pattern = read(
        "Aran panel (worked over 12 sts)\n\nC4B - slip 2 sts to cn and hold in back, k2, k2 from cn\n\n"
        "Row 1 (WS): K2, P8, K2.\nRow 2 (RS): P2, C4B, 2/2 LC, p2.\n"
        "Row 3 and every following WS row: Knit the knits and purl the purls.\nRow 4: p2, k8, p2 - 12 sts\n"
        "Repeat rows 1-4 for pattern."
    )
    assert not wrong(pattern), wrong(pattern)
    assert (pattern.title, pattern.stitches, pattern.repeat) == ("Aran panel", 12, (1, 4))
    assert [row.right_side for row in pattern.rows] == [False, True, False, True]
    assert faces(pattern) == ["ppkkkkkkkkpp"] * 4


def test_rounds_go_around() -> None:
    pattern = read("Round 1: *K4, p2; rep from * around.\nRnds 2-3: Rep rnd 1.\nRnd 4: *C4F, p2; rep from * around", 24)
    assert not wrong(pattern), wrong(pattern)
    assert [p.place for p in pattern.rows[3].crossed] == [0, 6, 12, 18]


def test_rows_may_be_called_r_and_follow_their_stitches_in_either_order() -> None:
    pattern = read(
        "R1 (RS): k2, (p2, C4B) rep to last 2 sts, k2\nR2: purl all the purl sts, knit the knit sts\n"
        "R3: k2, (p2, k4) to last 2 sts, k2\nR4: as R2",
        16,
    )
    assert not wrong(pattern), wrong(pattern)
    assert [p.place for p in pattern.rows[0].crossed] == [4, 10]
    assert len(set(faces(pattern))) == 1 and len(pattern.rows) == 4


def test_a_word_not_known_says_how_a_cable_is_explained_and_then_it_is_read() -> None:
    row = "Cast on 8 sts\nRow 1 (RS): p2, Cr3R, p3"
    [told] = wrong(read(row))
    assert "explained in a line" in str(told)
    pattern = read(f"Cr3R: slip 1 st to cn, hold in back, k2, p1 from cn\n{row}")
    assert not wrong(pattern), wrong(pattern)
    assert [p.cross.name for p in pattern.rows[0].crossed] == ["2/1 RPC"]


def test_twisted_and_slipped_stitches_take_as_many_as_they_say_and_one_where_they_say_none() -> None:
    made = read_row("k2tbl, p1tbl, ktbl, sl1, sl 3, sl, p, p2").worked(12)
    assert made.faces == "kk" + "p" + "k" + "k" + "kkk" + "k" + "p" + "pp"
    assert {word for word, _ in made.left_out.values()} == {"k2tbl", "p1tbl", "ktbl", "sl1", "sl 3", "sl"}
