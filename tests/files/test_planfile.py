"""Plan files: read as the outside contract has them, refused with file, line, key, found and allowed."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given

from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.files.planfile import MOST_BYTES, Refused, parse, read
from purlside.plan import checked as plain
from purlside.text.harmless import unprintable
from tests.plans import Tables, plan_tables, refusals, tables, toml

CONTRACT = """format = 1
title = "Breakwater scarf"
notes = "free text"

[machine]
pitch_mm = 4.5            # distance between needles; required
needles = 200             # on the whole bed, half each side of the centre; default 200
dial = [0.0, 10.0]        # smallest and largest stitch size; default as shown
dial_clicks = 3           # clicks between two whole numbers; default 3
carriage = "right"        # where it stands before row 1: "left" or "right"; default "right"
counter_trip = "centre"   # where the machine's own counter is tripped: "centre", "left end", "right end", or a needle; optional
position_letters = { nwp = "…", wp = "…", uwp = "…", hp = "…" }   # the machine's own letters, optional

[tools]
prongs = [1, 2, 3, 3, 4]  # transfer tools within reach, one number a tool; optional: then tools are not checked

[yarn]
fibre = "wool"            # wool, cotton, silk, linen, …; or extension_at_break = 0.3
tex = 280                 # or count = "2/8 Nm" and the like
loop_mm = { "5" = 12.0, "9" = 15.8 }   # yarn in one loop, measured, by stitch size; optional

[gauge]                   # optional, from the knitter's swatch
stitches_per_10cm = 29
rows_per_10cm = 41

[panel]
needles = "L24-R24"
rows = 180
stitch_size = 5
out_of_work = ["L9", "R9"]   # ladders; optional
weights_every = 30           # rows between moving the weights up; optional

[[cable]]
name = "rope"
cross = "R1-R3 over L3-L1"   # the block named first shows on the knit side. One string, or a list taken in turn
first_row = 8                # crossing rows: first_row, first_row + every, …
every = 8
times = 20                   # optional; default: to the end of the panel
ease = "enlarge"             # "plain", "enlarge", "extra rows", "by hand", "auto"; or a list of the two that combine
enlarged_size = 9            # for enlarge
extra_rows = 2               # for extra rows; even

[[band]]                     # rows with another size or colour; optional
rows = "1-20"
stitch_size = 4
colour = "slate"

[[reminder]]                 # anything else to be told of; optional
row = 30                     # or first_row / every / times as above
text = "tie a marker at both edges"
"""


@pytest.fixture
def written(tmp_path: Path) -> Any:
    def write(content: str | bytes, name: str = "plan.toml") -> Path:
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return write


def only(text: str) -> str:
    (refusal,) = refusals(text)
    return str(refusal)


def changed(old: str, new: str) -> str:
    assert CONTRACT.count(old) == 1
    return CONTRACT.replace(old, new)


# --- accepted -----------------------------------------------------------------


def test_the_plan_of_the_outside_contract_is_read_and_can_be_knit(written: Any) -> None:
    file = read(written(CONTRACT))
    assert file.plan.title == "Breakwater scarf"
    assert file.plan.machine.dial == (0.0, 10.0)
    assert file.plan.machine.side is Side.RIGHT
    assert file.plan.tools.prongs == (1, 2, 3, 3, 4)
    assert file.plan.yarn.loop_mm == {"5": 12.0, "9": 15.8}
    assert file.plan.panel.needles == Span.parse("L24-R24")
    assert file.plan.panel.out_of_work == (Needle.parse("L9"), Needle.parse("R9"))
    assert file.plan.cable[0].crossings == (Crossing.parse("R1-R3 over L3-L1"),)
    assert str(file.plan.band[0].rows) == "1-20"
    assert not file.faults()


def test_what_may_be_left_out_has_the_contracts_defaults() -> None:
    plan = parse(toml(tables()), "plan.toml")
    machine = plan.machine
    assert (machine.needles, machine.dial, machine.dial_clicks) == (200, (0.0, 10.0), 3)
    assert str(machine.bed) == "L100-R100"
    assert plan.tools.prongs is None


@pytest.mark.parametrize("path", sorted(Path(__file__).parents[2].joinpath("patterns").glob("*.toml")), ids=str)
def test_each_pattern_can_be_knit(path: Path) -> None:
    file = read(path)
    assert not file.faults()


def test_a_mark_of_byte_order_and_line_ends_of_another_system_are_no_trouble(written: Any) -> None:
    assert read(written(b"\xef\xbb\xbf" + CONTRACT.encode())).plan == parse(CONTRACT, "")
    assert read(written(CONTRACT.replace("\n", "\r\n"))).plan == parse(CONTRACT, "")
    line = CONTRACT[: CONTRACT.index("rows = 180")].count("\n") + 1
    with pytest.raises(Refused, match=rf"plan\.toml:{line}: panel, rows: found 0"):
        read(written(b"\xef\xbb\xbf" + changed("rows = 180", "rows = 0").replace("\n", "\r\n").encode()))


@given(plan_tables())
def test_a_plan_written_as_a_file_is_read_as_it_was(data: Tables) -> None:
    plan = parse(toml(data), "plan.toml")
    written = toml(plain.written(plan))
    assert parse(written, "plan.toml") == plan


# --- no plan file at all -----------------------------------------------------


def test_a_missing_file_a_folder_and_a_pipe_are_refused_by_name(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for name, found in (("none", "no such file"), (".", "a directory"), ("pipe", "not a file")):
        with pytest.raises(Refused) as caught:
            read(tmp_path / name)
        assert found in str(caught.value)
        assert str(caught.value).startswith(str(tmp_path))
    with pytest.raises(Refused, match="cannot be read"):
        read("nul\0character")
    with pytest.raises(Refused, match="cannot be read"):
        read("n" * 5000)


def test_a_file_that_may_not_be_read_says_so(written: Any) -> None:
    path = written(CONTRACT)
    path.chmod(0)
    root = os.geteuid() == 0
    if root:
        for folder in (path.parent, path.parent.parent, path.parent.parent.parent):
            folder.chmod(0o755)
        os.seteuid(65534)
    try:
        with pytest.raises(Refused, match="may not be read"):
            read(path)
    finally:
        if root:
            os.seteuid(0)


def test_a_file_of_ten_megabytes_is_refused_with_the_limit(written: Any) -> None:
    with pytest.raises(Refused, match=r"found 10,000,000 bytes; allowed: at most 1,000,000 bytes"):
        read(written(b"#" * 10_000_000))
    read(written(CONTRACT + "#" * (MOST_BYTES - len(CONTRACT.encode()))))


@pytest.mark.parametrize("content", [bytes(range(256)), b"\x7fELF\x02\x01\x01\x00", b'title = "\xff"', b"a = 1\0"])
def test_a_binary_file_is_refused(written: Any, content: bytes) -> None:
    with pytest.raises(Refused, match=r"plan\.toml: the plan: found bytes that are not text"):
        read(written(content))


def test_a_file_name_is_shown_without_control_characters(written: Any) -> None:
    for name in ("\x1b[31mred\n.toml", os.fsdecode(b"red\xff.toml")):
        with pytest.raises(Refused) as caught:
            read(written("", name))
        assert not any(map(unprintable, str(caught.value).replace("\n", "")))
        assert all("red" in line for line in str(caught.value).splitlines())


# --- one thing wrong ------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('title = "Breakwater scarf"', "title = Breakwater", "the plan: found Invalid value; allowed: valid TOML"),
        ("rows = 180", 'rows = "180"', 'panel, rows: found "180"; allowed: a whole number, 1 to 20,000'),
        ("rows = 180", "rows = 180.0", "panel, rows: found 180.0; allowed: a whole number"),
        ("rows = 180", "rows = true", "panel, rows: found true"),
        ("rows = 180", "rows = 1979-05-27", "panel, rows: found 1979-05-27"),
        ("rows = 180", "rows = 1000000000000", "panel, rows: found 1000000000000; allowed: a whole number, 1 to"),
        ("rows = 180", "rows = 0x" + "f" * 6000, "panel, rows: found a whole number of more than 38 digits"),
        ("rows = 180", "rows = " + "9" * 6000, "the plan: found a number of 6,000 digits"),
        ("weights_every = 30", "weight_every = 30", "did you mean weights_every?)"),
        ('colour = "slate"', 'color = "slate"', "band 1, color: found an unknown key; allowed: colour, rows"),
        ("pitch_mm = 4.5", "pitch_mm = nan", "machine, pitch_mm: found nan"),
        ("pitch_mm = 4.5", "pitch_mm = 1e999", "machine, pitch_mm: found inf"),
        ("needles = 200", "needles = 201", "machine, needles: found 201; allowed: an even whole number"),
        ("dial = [0.0, 10.0]", "dial = [0.0]", "machine, dial"),
        ("dial = [0.0, 10.0]", 'dial = [0.0,\n"x"]', 'machine, dial 2: found "x"'),
        ('"centre"  ', '"middle"', 'machine, counter_trip: found "middle"; allowed: "centre", "left end"'),
        ('"L24-R24"', '"R24-L24"', "panel, needles: found"),
        ('"L24-R24"', '"L99999-R99999"', "at most 250 needles on each side"),
        ('["L9", "R9"]', '["L9",\n"X9"]', 'panel, out_of_work 2: found "X9"'),
        ('"R1-R3 over L3-L1"', '"R1-R3 under L3-L1"', "cable 1, cross: found"),
        ('"R1-R3 over L3-L1"', '["R1 over L1",\n\n"R1"]', 'cable 1, cross 2: found "R1"'),
        ('"R1-R3 over L3-L1"', "[]", "cable 1, cross: found a list of 0; allowed: a crossing"),
        ("extra_rows = 2", "extra_rows = 3", "cable 1, extra_rows: found 3; allowed: an even whole number, 2 to 40"),
        ('ease = "enlarge"', 'ease = "enlarged"', 'cable 1, ease: found "enlarged"; allowed: "plain", "enlarge"'),
        ('rows = "1-20"', 'rows = "20-1"', 'band 1, rows: found "20-1"'),
        ("format = 1", "format = 2", "format: found 2; allowed: 1"),
        ("[panel]", "[[panel]]", "panel: found a list of 1; allowed: a table with needles, rows"),
        ('title = "Breakwater scarf"', 'title = "a\\u001b[31mb"', "title: found"),
        ('title = "Breakwater scarf"', 'title = "a\\u202eb"', "contains the control character U+202E"),
        ('title = "Breakwater scarf"', f'title = "{"x" * 900_000}"', "title: found"),
        ('title = "Breakwater scarf"', 'title = "x"\n"\\u001b[2J" = 1', "\N{REPLACEMENT CHARACTER}[2J: found an"),
        ('title = "Breakwater scarf"', 'title = "x"\n[machne.more]', "machne: found an unknown key"),
        ('"free text"', '"' + "y" * 10_001 + '"', "notes: found"),
        ("tex = 280", "tex = [" + "[" * 600 + "]" * 601, "the plan: found tables or lists nested too deep"),
        ("tex = 280", ".".join("a" * 5000) + " = 1", "the plan: found a key of more than 50 parts"),
        ("[1, 2, 3, 3, 4]", str([1] * 101), "tools, prongs: found"),
    ],
)
def test_what_is_wrong_is_named_with_line_key_found_and_allowed(old: str, new: str, told: str) -> None:
    text = changed(old, new)
    line = text[: text.index(new) + len(new)].count("\n") + 1
    found = refusals(text)
    assert any(told in str(refusal) and str(refusal).startswith(f"plan.toml:{line}: ") for refusal in found), found


@pytest.mark.parametrize(
    ("old", "new", "place", "told"),
    [
        (
            "rows = 180",
            "",
            "[panel]",
            "panel, rows: found nothing; allowed: a whole number, 1 to 20,000 (it is required)",
        ),
        ("enlarged_size = 9 ", "#", "[[cable]]", 'ease "enlarge" needs enlarged_size'),
        ("tex = 280", 'tex = 280\ncount = "2/8 Nm"', "count =", "tex and count are both given; keep one"),
        ("row = 30", "row = 30\nfirst_row = 3", "row = 30", "either row, or first_row with every"),
        ('colour = "slate"', "", "[[band]]", "a band sets stitch_size or colour or both"),
        ("title = ", "#", "format", "title: found nothing; allowed: a text of one line"),
    ],
)
def test_what_is_missing_or_does_not_go_together_is_named_at_its_key_or_table(
    old: str, new: str, place: str, told: str
) -> None:
    text = changed(old, new).replace("stitch_size = 4\n", "")
    line = text[: text.index(place)].count("\n") + 1
    refusal = only(text)
    assert told in refusal
    assert refusal.startswith(f"plan.toml:{line}: ")


def test_the_second_of_two_cables_of_one_name_is_the_one_refused() -> None:
    second = '[[cable]]\nname = "rope"\ncross = "R5 over R4"\nfirst_row = 1\n'
    line = CONTRACT.count("\n") + 2
    assert only(f"{CONTRACT}{second}") == (
        f'plan.toml:{line}: cable 2, name: found "rope"; allowed: a short text, 1 to 40 characters '
        '(two cables are named "rope"; give each its own name)'
    )


@pytest.mark.parametrize("depth", [*range(20, 480, 51), *range(480, 520)])
def test_nesting_of_any_depth_is_refused_and_never_a_crash(depth: int) -> None:
    only(CONTRACT.replace("tex = 280", f"tex = {'[' * depth}{']' * depth}"))
    refusals(CONTRACT.replace("tex = 280", f"tex = {'{a=' * depth}1{'}' * depth}"))


def test_a_text_that_does_not_end_is_refused_at_its_end() -> None:
    told = "plan.toml:3: the plan: found Unterminated string, at the end of the file; allowed: valid TOML ("
    assert only('a = """\n\n').startswith(told)


@pytest.mark.parametrize(
    ("line", "mend"),
    [
        ('title = "Jetty', 'a text ends with "'),
        ("title = Jetty", 'a text in "quotes"'),
        ("title: 5", "a key, then =, then a value"),
        ("title = 4,5", "one key and its value a line"),
        ("[[cable]", "[[cable]]"),
        ("[panel", "[panel]"),
        ("rows = [1, 2", "a list ends with ]"),
        ("= 5", "a line is a key = value"),
    ],
)
def test_a_line_that_is_no_toml_is_told_with_how_to_mend_it(line: str, mend: str) -> None:
    assert mend in only(f"format = 1\n{line}\n")


def test_everything_that_is_wrong_is_told_at_once_and_in_order() -> None:
    text = CONTRACT
    for old, new in (
        ("title", "titel"),
        ("pitch_mm = 4.5", 'pitch_mm = "a"'),
        ("rows = 180", "rows = 0"),
        ("every = 8", "evry = 8"),
        ("extra_rows = 2", "extra_rows = 1"),
    ):
        text = text.replace(old, new, 1)
    found = refusals(text)
    lines = text.splitlines()
    assert [(lines[r.line - 1].split(" ")[0] if r.line else "", r.problem.where) for r in found] == [
        ("format", "title"),
        ("pitch_mm", "machine, pitch_mm"),
        ("rows", "panel, rows"),
        ("extra_rows", "cable 1, extra_rows"),
        ("evry", "cable 1, evry"),
        ("titel", "titel"),
    ]
    assert found[-1].problem.why == "did you mean title?"


def test_very_many_wrong_keys_are_counted_not_listed() -> None:
    found = refusals(CONTRACT + "[more]\n" + "".join(f"[[x{i}]]\n" for i in range(20_000)))
    assert len(found) == 31
    assert re.fullmatch(r".*found 19,?\d{3} more problems.*", str(found[-1]))


def test_crossings_off_the_panel_overlapping_or_off_the_dial_are_faults_of_a_plan_that_was_read(written: Any) -> None:
    text = CONTRACT.replace('"L24-R24"', '"L24-R10"').replace("enlarged_size = 9 ", "enlarged_size = 10.5 ")
    text += '[[cable]]\nname = "edge"\ncross = "R10 over R11"\nfirst_row = 3\n'
    text += '[[cable]]\nname = "knot"\nfirst_row = 16\ncross = "R3 over R4"\n'
    path = written(text)
    lines = text.splitlines()
    assert [(lines[f.line - 1].split(" #")[0].rstrip(), str(f).split(": ", 1)[1]) for f in read(path).faults()] == [
        ("enlarged_size = 10.5", "cable 1, enlarged_size: found 10.5; allowed: a size on the dial, 0 to 10"),
        (
            'cross = "R10 over R11"',
            'cable 2, cross: found "R10 over R11"; allowed: needles of the panel, L24-R10 (R11 (1 needle) outside it)',
        ),
        (
            'cross = "R3 over R4"',
            'cable 3, cross: found "R3 over R4"; allowed: crossings of one row that share no needles '
            '(row 16: "rope" also uses R3 (1 needle))',
        ),
    ]
