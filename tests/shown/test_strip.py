"""The bed strip, at every size: what a knitter compares with the metal is true of the bed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import groupby

import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from purlside.bed.moves import ByHand, Knit
from purlside.bed.needles import Needle, Position, Side, Span
from purlside.bed.transfers import Cross
from purlside.knitting.cursor import Knitting, Place
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from purlside.shown import framing, strip
from purlside.shown.view import View, in_play
from purlside.text import signs
from tests.plans import cable, plan, plans

PERS = (None, 1, 2, 3)
BOTH = (signs.UNICODE, signs.ASCII)


def view_of(knitting: Knitting) -> View:
    row, step = knitting.row, knitting.step
    moves = () if step is None else knitting.moves[knitting.place.done : step.last]
    crossed, size, resting = (row.crossed, row.size, row.resting) if row else ((), 5.0, ())
    return View(knitting.bed, moves, crossed, size, resting=resting)


def views_of_row(wanted: Plan, row: int) -> Iterator[View]:
    """What stands on the screen at each step of a row."""
    knitting = Knitting(Working(wanted), Place(row, 0))
    while knitting.place.row == row:
        yield view_of(knitting)
        knitting.go(knitting.next_place())


def crossed_in(view: View) -> list[Cross]:
    return [move for move in view.moves if isinstance(move, Cross)]


def by_hand_in(view: View) -> set[Needle]:
    return {needle for move in view.moves if isinstance(move, ByHand) for needle in move.needles}


def wide(needles: str) -> Plan:
    """A rope in the middle, enlarged, and beads at the right."""
    return plan(
        cable(ease="enlarge", enlarged_size=9.0),
        cable("R6 over R7-R8", name="bead", ease="by hand"),
        needles=needles,
        machine={"needles": 250},
    )


def check(view: View, width: int, glyphs: signs.Glyphs, per: int | None) -> None:
    """Every line fits, and every mark says of its needle what the bed says."""
    lines = strip.draw(view, width, glyphs, per=per)
    fit = strip.fitted(view, width, per)
    drawn = ["".join(part for part, _ in line) for line in lines]
    assert all(len(line) <= width for line in drawn), (width, per)
    assert len(drawn) == len(strip.LANES) + (not fit.whole)
    body = {line[: strip.GUTTER - 1].strip(): f"{line[strip.GUTTER :]:<{fit.width}}" for line in drawn}
    if per is not None:
        assert fit.per == per
    columns = {place: fit.column(place) for place in fit.places}
    assert len(set(columns.values()) | ({fit.centre} if fit.centre is not None else set())) == len(columns) + (
        fit.centre is not None
    )
    check_labels(body["needle"], fit, columns)
    for place, column in columns.items():
        check_needle(view, body, place, column, glyphs)
    check_runs(view, body, fit)
    check_carriage(view, drawn, fit, glyphs)


def check_labels(line: str, fit: framing.Frame, columns: dict[int, int]) -> None:
    """A needle's number stands at its own column, whole."""
    at = 0
    for word in re.sub(r"[│|·.]", " ", line).split(" "):
        if word:
            needle = Needle.parse(word)
            column = columns[int(needle)]
            assert at <= column < at + len(word), f"{word} stands at {at}, its needle at {column}"
            if at > 0 and at + len(word) < fit.width:
                assert column == (at + len(word) - 1 if needle < 0 else at)
        at += len(word) + 1


def check_needle(view: View, body: dict[str, str], place: int, column: int, glyphs: signs.Glyphs) -> None:
    bed = view.bed
    i = place - int(bed.panel.left)
    stands = bed.position[i]
    marks = {Position.WP: "working", Position.UWP: "upper", Position.HP: "holding"}
    stand_marks = {glyphs.needle, glyphs.outward, glyphs.inward}
    for position, lane in marks.items():
        char = body[lane][column]
        assert (char in stand_marks) == (stands is position), (Needle(place), lane, char)
        assert char in stand_marks | {" ", glyphs.target, glyphs.hand}
        assert char != glyphs.hand or Needle(place) in by_hand_in(view), "only what is knit by hand is drawn so"
    other = other_loop(view, i)
    if stands is Position.NWP:
        within = bed.in_work[0] < place < bed.in_work[-1]
        assert body["loops"][column] == (glyphs.none if within else " "), "among the needles a ladder, else nothing"
        assert body["rows"][column] == " "
    elif bed.loops[i] != 1:
        assert body["loops"][column] == str(bed.loops[i])
    elif other:
        assert body["loops"][column] in (glyphs.large, glyphs.hand)
    else:
        assert body["loops"][column] not in (glyphs.large, glyphs.hand, glyphs.none)
    assert body["carriage"][column] != glyphs.yarn or place == int(bed.yarn)


def other_loop(view: View, i: int) -> bool:
    """Whether a needle's loop is not the ordinary one."""
    size = view.bed.loop_size[i]
    return bool(size > view.size and (view.bed.rows[i] or size > view.before))


def check_runs(view: View, body: dict[str, str], fit: framing.Frame) -> None:
    """Neighbours that have as much are one run with one figure in it, and two runs are told apart."""
    bed, left = view.bed, int(view.bed.panel.left)

    def figure(lane: str, place: int) -> str:
        i = place - left
        if bed.position[i] is Position.NWP or (lane == "loops" and (other_loop(view, i) or bed.loops[i] != 1)):
            return ""
        return str(bed.rows[i]) if lane == "rows" else "1"

    for lane in ("loops", "rows"):
        for (wanted, *_), run in groupby(
            fit.places,
            key=lambda place: (figure(lane, place), place >= 0, fit.fold is not None and place > fit.fold[0]),
        ):
            group = list(run)
            start, stop = fit.column(group[0]) - (fit.per - 1) // 2, fit.column(group[-1]) + fit.per // 2 + 1
            drawn = body[lane][start:stop]
            if wanted:
                assert re.findall(r"\d", drawn) == [wanted], (lane, drawn)
                after = body[lane][stop : stop + 1]
                assert (
                    len(drawn) < 3 or drawn[-1] == " " or not after.strip() or after in "│|×xO@·." or drawn[-1] in "·."
                )


def check_carriage(view: View, drawn: list[str], fit: framing.Frame, glyphs: signs.Glyphs) -> None:
    """The carriage's body has as many needles on either side of it as on the bed."""
    line = next(line for line in drawn if line.startswith("carriage"))
    columns = [fit.column(p) for p in fit.places]
    at = line.find(glyphs.body, strip.GUTTER - 1) - strip.GUTTER
    gap = view.bed.gap
    if at == -1 - strip.GUTTER:
        assert not fit.first <= gap <= fit.last + 1
        return
    before = sum(p < gap for p in fit.places)
    if fit.fold is not None and fit.fold[0] <= gap <= fit.fold[1] + 1:
        assert at in fit.folded
        return
    if fit.per == 1:
        assert sum(c < at for c in columns) in (before, before - 1)
    else:
        assert sum(c < at for c in columns) == before
        assert at not in columns


@pytest.mark.parametrize("needles", ["L4-R4", "L20-R20", "L125-R125"])
def test_every_mark_and_label_is_true_at_every_width(needles: str) -> None:
    views = list(views_of_row(wide(needles) if needles != "L4-R4" else plan(cable(), needles=needles), 8))
    for width in range(20, 251):
        view = views[width % len(views)]
        for per in PERS:
            check(view, width, BOTH[width % 2], per)


@examples(max_examples=60)
@given(plans(), st.data())
def test_every_mark_and_label_is_true_of_any_plan(wanted: Plan, data: st.DataObject) -> None:
    knitting = Knitting(Working(wanted), Place(data.draw(st.integers(1, wanted.panel.rows)), 0))
    for _ in range(data.draw(st.integers(0, 6))):
        knitting.go(knitting.next_move_place())
    check(view_of(knitting), data.draw(st.integers(12, 120)), data.draw(st.sampled_from(BOTH)), None)


@pytest.mark.parametrize("width", [60, 100, 130])
def test_a_row_shaped_at_both_edges_shows_both_edges_and_what_is_done_there(width: int) -> None:
    wide_panel = plan(
        needles="L76-R76",
        rows=20,
        machine={"needles": 250},
        shape=[
            {"edge": "both", "do": "decrease", "tool": 3, "first_row": 4, "every": 2, "times": 5},
            {"edge": "both", "do": "increase", "first_row": 15},
            {"edge": "both", "do": "cast on", "stitches": 4, "first_row": 17, "every": 2, "times": 1},
        ],
    )
    for row in (4, 6, 15, 17, 18):
        for view in views_of_row(wide_panel, row):
            for glyphs in (signs.UNICODE, signs.ASCII):
                check(view, width, glyphs, None)
            fit = strip.fitted(view, width)
            if shaping := view.shaping:
                assert set(shaping) <= set(fit.places)
                lane = signs.text(strip.draw(view, width)).splitlines()[1]
                assert lane.startswith("stitches")
                drawn_as = {"<": "◄", ">": "►"}
                for place, letter in shaping.items():
                    assert lane[strip.GUTTER + fit.column(place)] == drawn_as.get(letter, letter)


def test_the_cable_of_the_row_stays_in_sight_and_in_place_through_all_its_steps() -> None:
    for width in (34, 50, 70):
        frames = []
        for view in views_of_row(plan(cable(), needles="L90-R90", carriage="left"), 8):
            fit = framing.frame(view.bed.panel, width - strip.GUTTER, in_play(view))
            frames.append((fit.first, fit.last))
            assert fit.first <= -3 and fit.last >= 2
        assert max(first for first, _ in frames) - min(first for first, _ in frames) <= (width - strip.GUTTER) // 2


def test_of_cables_too_far_apart_the_one_being_crossed_is_seen() -> None:
    both = plan(
        cable("L80-L78 over L77-L75", name="left"), cable("R75-R77 over R78-R80", name="right"), needles="L90-R90"
    )
    seen = []
    for view in views_of_row(both, 8):
        for cross in crossed_in(view):
            fit = framing.frame(view.bed.panel, 40, in_play(view))
            span = cross.crossing.span
            assert fit.first <= span.left and span.right <= fit.last
            seen.append(cross.cable)
    assert seen == ["right", "left"]


def test_a_bed_wider_than_the_screen_shows_which_part_is_seen_and_where_the_carriage_is() -> None:
    view = next(views_of_row(wide("L125-R125"), 8))
    last = signs.text(strip.draw(view, 60)).splitlines()[-1]
    assert last.startswith("seen      L125 ")
    assert last.endswith(" R125")
    assert "═" in last and "─" in last
    assert last.index("█") < last.index("═")


@pytest.mark.parametrize("side", list(Side))
def test_a_carriage_outside_the_panel_is_drawn_outside_it(side: Side) -> None:
    view = next(views_of_row(plan(carriage=str(side)), 1))
    line = signs.text(strip.draw(view, 80)).splitlines()[8]
    needles = signs.text(strip.draw(view, 80)).splitlines()[5]
    marks = [i for i, char in enumerate(needles) if char == "■"]
    body = line.index("█")
    assert body < marks[0] if side is Side.LEFT else body > marks[-1]


def test_the_ascii_drawing_has_nothing_but_ascii_and_the_same_shape() -> None:
    for view in views_of_row(wide("L30-R30"), 8):
        for width in (40, 80, 200):
            lines, plain = (signs.text(strip.draw(view, width, glyphs)) for glyphs in BOTH)
            assert plain.isascii()
            for line, other in zip(lines.splitlines(), plain.splitlines(), strict=True):
                assert [c == " " for c in line] == [c == " " for c in other]


def test_in_the_ascii_drawing_no_two_signs_of_one_lane_are_alike() -> None:
    for glyphs in BOTH:
        assert len({glyphs.needle, glyphs.outward, glyphs.inward, glyphs.target}) == 4
        assert len({glyphs.bed, glyphs.blank, glyphs.large, glyphs.hand, glyphs.none}) == 5
        assert len({glyphs.body, glyphs.left, glyphs.right, glyphs.rail, glyphs.bed}) == 5
        assert len({glyphs.seen, glyphs.bed, glyphs.body}) == 3


def test_a_half_cut_by_the_edge_is_not_drawn_as_if_it_ended_there() -> None:
    view = next(views_of_row(plan(cable("L12-L1 over R1-R12"), needles="L60-R60"), 8))
    line = signs.text(strip.draw(view, 30, per=3)).splitlines()[1]
    assert "‹" in line
    assert "└" not in line


def test_enlarged_loops_and_loops_made_by_hand_are_told_from_the_others() -> None:
    for view in views_of_row(wide("L12-R12"), 8):
        if crossed_in(view):
            break
    loops = signs.text(strip.draw(view, 120, per=1)).splitlines()[2]
    assert loops.split("│") == ["loops     ─── 1 ───OOO", "─ 1 ─@─ 1 ──"]


def test_a_needle_out_of_work_is_marked_and_stands_in_no_lane() -> None:
    view = next(views_of_row(plan(needles="L4-R4", out=["R2"]), 1))
    lines = signs.text(strip.draw(view, 30, per=1)).splitlines()
    column = strip.GUTTER + framing.frame(Span.parse("L4-R4"), 20, per=1).column(1)
    assert lines[2][column] == "×"
    assert all(len(line) <= column or line[column] == " " for line in lines[5:8])


def test_tones_only_repeat_what_the_characters_say() -> None:
    """Without colour the strip is as clear: a tone other than the lane's usual one has its own character."""
    for view in views_of_row(wide("L12-R12"), 8):
        kept: dict[signs.Tone, set[str]] = {}
        for line in strip.draw(view, 120)[5:8]:
            for part, tone in line[1:]:
                kept.setdefault(tone, set()).update(part)
        assert kept.get(signs.Tone.MOVING, set()) <= {"▼", "▲"}
        assert kept.get(signs.Tone.NEEDLE, set()) <= {"■"}
        assert kept.get(signs.Tone.TARGET, set()) <= {"·", "@"}


def test_a_row_at_a_smaller_size_does_not_make_the_loops_before_it_enlarged() -> None:
    made = plan(panel={"needles": "L3-R3", "rows": 6, "stitch_size": 5}, band=[{"rows": "1-2", "stitch_size": 4}])
    knitting = Knitting(Working(made))
    view = View(knitting.bed, size=4.0, before=knitting.size_before)
    assert "O" not in signs.text(strip.draw(view, 60))


def test_a_needle_knit_by_hand_is_marked_though_the_same_step_holds_it_again() -> None:
    view = next(v for v in views_of_row(plan(cable("R1 over R2-R4", ease="by hand")), 8) if by_hand_in(v))
    lines = {line[:9].strip(): line for line in signs.text(strip.draw(view, 80)).splitlines()}
    column = lines["needle"].index("R1")
    assert (lines["working"][column], lines["holding"][column]) == ("@", "▲")


def test_the_halves_are_labelled_the_same_way_at_every_width() -> None:
    view = next(views_of_row(plan(cable(), needles="L16-R16"), 8))
    for per in (1, 2, 3):
        lane = signs.text(strip.draw(view, 130, per=per)).splitlines()[1]
        assert re.search(r"└─*b─*┘│└─*F─*┘$", lane), lane
    alone = next(views_of_row(plan(cable("R1-R2 over L1"), needles="L16-R16"), 8))
    assert signs.text(strip.draw(alone, 80, per=1)).splitlines()[1].endswith("b│F┘")


@pytest.mark.parametrize("glyphs", BOTH)
def test_resting_needles_are_hollow_and_quiet_and_those_held_for_the_bridging_are_not(glyphs: signs.Glyphs) -> None:
    rests = {"edge": "left", "do": "hold", "stitches": 3, "first_row": 7, "every": 2, "times": 1}
    wanted = plan(cable(ease="enlarge", enlarged_size=9), needles="L12-R12", shape=[rests])
    view = next(v for v in views_of_row(wanted, 8) if set(v.bed.held) > set(v.resting))
    assert view.resting == tuple(Span.parse("L12-L10"))
    line = next(line for line in strip.draw(view, 80, glyphs, per=1) if line[0][0].startswith("holding"))
    signed = {sign: tone for text, tone in line[1:] for sign in text.strip()}
    assert signed[glyphs.resting] is signs.Tone.QUIET
    assert signed[glyphs.needle] is signs.Tone.NEEDLE
    drawn = "".join(text for text, _ in line)
    assert drawn.count(glyphs.resting) == 3


def test_a_pass_among_resting_needles_is_in_view_and_the_ends_of_those_are_numbered() -> None:
    """The second shoulder at work on a wide bed: the middle of the bed is nothing to look at."""
    parts = [{"name": "right", "needles": "R1-R60", "rows": 10}, {"name": "left", "mirrors": "right"}]
    rests = {"edge": "right", "do": "hold", "stitches": 30, "first_row": 24, "times": 1, "part": "right"}
    wanted = plan(needles="L60-R60", rows=20, part=parts, shape=[rests], machine={"needles": 200})
    view = view_of(Knitting(Working(wanted), Place(25, 0)))
    assert isinstance(view.push, Knit)
    fit = strip.fitted(view, 60)
    assert {int(n) for n in view.push.needles} <= set(fit.places)
    numbers = strip.draw(view, 60)[0][1:]
    assert "R31" in "".join(text for text, _ in numbers)
