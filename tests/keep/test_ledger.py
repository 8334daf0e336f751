"""The ledger outlives what happens to files: a full disk, a torn line, a file removed, replaced or locked."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from purlside.keep.events import Noted, StepDone, read
from purlside.keep.ledger import Entry, Ledger, entries, entries_backwards
from purlside.keep.ledger_text import as_csv, as_markdown, as_text, lines, times, what
from purlside.knitting.cursor import Place
from tests import disks
from tests.sessions import at, opened, ways, written


def steps(path: Path) -> list[str]:
    """The places in the file, without what this program has in memory."""
    return [str(entry.event.at) for line in path.read_bytes().splitlines() if (entry := Entry.read(line))]


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    ledger = Ledger(tmp_path / "band.jsonl")
    yield ledger
    ledger.close()


# --- disks -----------------------------------------------------------------------


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    with disks.small_disk(tmp_path / "disk") as disk:
        yield disk


def test_a_full_disk_says_what_is_not_saved_and_saves_it_once_there_is_room(small_disk: Path) -> None:
    ledger = Ledger(small_disk / "band.jsonl")
    ledger.append(StepDone(Place(1, 0)))
    ballast = disks.fill(small_disk)
    for row in range(2, 400):
        ledger.append(StepDone(Place(row, 0)))
    assert ledger.trouble is not None
    assert re.match(r"\d+ steps not saved: No space left on device\. Earlier steps are safe", ledger.trouble)
    unsaved = int(ledger.trouble.split()[0])
    saved = steps(ledger.path)
    assert saved == [f"{row}.0" for row in range(1, 400 - unsaved)]
    ballast.unlink()
    ledger.append(StepDone(Place(400, 0)))
    assert ledger.trouble is None
    assert steps(ledger.path) == [f"{row}.0" for row in range(1, 401)]
    ledger.close()


def test_a_disk_turned_read_only_is_said_and_made_up_for(small_disk: Path) -> None:
    ledger = Ledger(small_disk / "band.jsonl")
    ledger.append(StepDone(Place(1, 0)))
    ledger.close()
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    ledger = Ledger(small_disk / "band.jsonl")
    ledger.append(StepDone(Place(2, 0)))
    assert ledger.trouble is not None and "1 step not saved: Read-only file system" in ledger.trouble
    subprocess.run(["mount", "-o", "remount,rw", small_disk], check=True)
    ledger.append(StepDone(Place(3, 0)))
    assert ledger.trouble is None
    assert steps(ledger.path) == ["1.0", "2.0", "3.0"]
    ledger.close()


def test_a_limit_on_the_files_size_is_like_a_full_disk(tmp_path: Path) -> None:
    """In a program of its own, since the limit holds for the whole process."""
    script = """
import resource, signal, sys
from pathlib import Path
from purlside.keep.events import StepDone
from purlside.keep.ledger import Ledger
from purlside.knitting.cursor import Place
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
ledger = Ledger(Path(sys.argv[1]))
ledger.append(StepDone(Place(1, 0)))
resource.setrlimit(resource.RLIMIT_FSIZE, (300, resource.RLIM_INFINITY))
for row in range(2, 20):
    ledger.append(StepDone(Place(row, 0)))
print(ledger.trouble)
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
ledger.append(StepDone(Place(20, 0)))
print(ledger.trouble)
ledger.close()
"""
    pytest.importorskip("resource")
    path = tmp_path / "band.jsonl"
    done = subprocess.run([sys.executable, "-c", script, path], capture_output=True, text=True, check=True)
    full, after = done.stdout.splitlines()
    assert "steps not saved: File too large" in full
    assert after == "None"
    assert steps(path) == [f"{row}.0" for row in range(1, 21)]


def test_a_folder_that_cannot_be_made_is_said_and_knitting_goes_on(home: Path, tmp_path: Path) -> None:
    home.write_text("a file where a folder should be")
    session = opened(written(tmp_path))
    assert session.forward()
    trouble = session.ledger.trouble
    assert trouble is not None and trouble.startswith("2 steps not saved: ")
    home.unlink()
    session.forward()
    assert session.ledger.trouble is None
    assert steps(session.ledger.path) == ["1.0", "2.0", "3.0", "3.0"]


# --- files -------------------------------------------------------------------------


def test_a_file_removed_while_open_comes_back_whole(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 4)
    session.note("7: second ball")
    session.ledger.path.unlink()
    session.forward()
    session.close()
    after = opened(session.file.path)
    assert after.knitting.place == session.knitting.place
    assert after.in_force.notes == ((7, "second ball"),)
    assert [entry.event.name for entry in entries(after.ledger.path)][:3] == ["open", "go", "note"]


def test_a_file_replaced_while_open_is_gone_on_in_with_all_that_holds(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 4)
    session.note("7: second ball")
    other = tmp_path / "other"
    other.write_text('{"t": "2026-01-01T10:00:00", "did": "card", "at": "2.0"}\n')
    other.replace(session.ledger.path)
    session.forward()
    session.close()
    after = opened(session.file.path)
    assert after.knitting.place == session.knitting.place
    assert after.in_force.notes == ((7, "second ball"),)


def test_a_torn_last_line_is_ignored_and_not_written_into(ledger: Ledger) -> None:
    ledger.append(StepDone(Place(1, 0)))
    ledger.close()
    with ledger.path.open("ab") as stream:
        stream.write(b'{"t": "2026-01-01T10:00:00", "did": "card", "at": "2.')
    assert steps(ledger.path) == ["1.0"]
    after = Ledger(ledger.path)
    after.append(StepDone(Place(3, 0)))
    after.close()
    assert steps(ledger.path) == ["1.0", "3.0"]
    assert [str(entry.event.at) for entry in entries_backwards(ledger.path)] == ["3.0", "1.0"]


def test_backwards_is_forwards_turned_round_over_blocks_of_any_lines(ledger: Ledger) -> None:
    for row in range(900):
        ledger.append(Noted(Place(row, 0), row, "å" * (row % 700)))
    assert [str(e.event.at) for e in entries_backwards(ledger.path)] == steps(ledger.path)[::-1]


def test_one_file_is_written_by_one_window_until_it_closes(ledger: Ledger) -> None:
    second = Ledger(ledger.path)
    assert second.read_only
    second.append(StepDone(Place(9, 0)))
    assert not second.take_over()
    ledger.append(StepDone(Place(1, 0)))
    ledger.close()
    assert second.take_over()
    second.append(StepDone(Place(2, 0)))
    second.close()
    assert steps(ledger.path) == ["1.0", "2.0"]


# --- times ---------------------------------------------------------------------------

START = datetime(2026, 1, 5, 19, 30, tzinfo=timezone(timedelta(hours=1)))


def test_a_disk_that_does_not_answer_holds_neither_the_file_nor_its_lock(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The program goes on, and the late sync is of the ledger still, not of a file that took its handle's number."""
    answer, synced, done = threading.Event(), list[tuple[int, int]](), threading.Event()
    sync = os.fsync

    def late(handle: int) -> None:
        answer.wait()
        sync(handle)
        synced.append((os.fstat(handle).st_dev, os.fstat(handle).st_ino))
        done.set()

    monkeypatch.setattr(os, "fsync", late)
    monkeypatch.setattr("purlside.keep.ledger.LONGEST_WAIT", 0.1)
    ledger = Ledger(tmp_path / "band.jsonl")
    ledger.append(StepDone(Place(1, 0)))
    ledger.close()
    others = [(tmp_path / f"{i}").open("wb") for i in range(9)]
    again = Ledger(ledger.path)
    assert not again.read_only
    answer.set()
    assert done.wait(10)
    file = ledger.path.stat()
    assert synced[0] == (file.st_dev, file.st_ino)
    again.append(StepDone(Place(2, 0)))
    again.close()
    assert steps(ledger.path) == ["1.0", "2.0"]
    for other in others:
        other.close()


def entry(seconds: float, did: str, at: str, **more: Any) -> Entry:
    return Entry(START + timedelta(seconds=seconds), read(did, Place.parse(at), more))


EVENING = [
    entry(0, "open", "1.0"),
    entry(10, "card", "2.0"),
    entry(22, "card", "2.1"),
    entry(40, "card", "3.0", cross=["rope"]),
    entry(45, "note", "3.0", row=3, text="=1+1, | *tight*\x1b[31m"),
    entry(52, "card", "4.0"),
    entry(52 + 3000, "card", "5.0"),
    entry(3060, "differs", "5.0", words="Carriage on the other side before row 5"),
    entry(3070, "card", "6.0"),
    entry(2000, "card", "7.0"),
    entry(2010, "close", "7.0"),
    entry(90_000, "open", "7.0"),
    entry(90_020, "card", "8.0"),
]


def test_time_a_row_a_crossing_and_a_session_leaves_pauses_and_clocks_set_back_out() -> None:
    found = times(lines(EVENING))
    assert [(row.row, row.seconds) for row in found.rows] == [
        (1, 10),
        (2, 30),
        (3, 12),
        (4, 0),
        (5, 10),
        (6, 0),
        (7, 20),
    ]
    assert found.rows[1].crossings == (("rope", 18.0),)
    assert found.crossing == 18.0
    assert found.crossing_row == 30.0
    assert [(visit.first, visit.last, visit.rows) for visit in found.visits] == [(1, 7, 6), (7, 8, 1)]
    assert [visit.seconds for visit in found.visits] == [10 + 12 + 18 + 5 + 7 + 8 + 10 + 10, 20]


def test_a_row_gone_back_into_is_not_timed_as_one() -> None:
    found = times(
        lines([entry(0, "open", "1.0"), entry(5, "card", "2.0"), entry(9, "go", "1.0"), entry(11, "card", "2.0")])
    )
    assert [row.seconds for row in found.rows] == [5, 2]
    found = times(lines([entry(0, "open", "3.2"), entry(5, "card", "4.0")]))
    assert found.rows == []


def test_the_text_and_the_tables_say_it_and_hold_no_control_characters() -> None:
    listed = list(lines(EVENING))
    text = "\n".join(as_text("Scarf\x07", times(listed), listed))
    assert "a crossing by itself: 18 s, the median" in text
    assert "2026-01-05 19:30 to 20:03  row 1 to 7  6         80 s" in text
    assert "pause 50 min" in text
    assert "differs: Carriage on the other side before row 5" in text
    marked = "\n".join(as_markdown("Scarf\x07", times(listed), listed))
    assert "note, row 3: =1+1, \\| \\*tight\\*" in marked
    assert all(
        line.count(" | ") == 4 for line in marked.partition("## Lines")[2].splitlines() if line.startswith("| 20")
    )
    assert not re.search(r"[\x00-\x09\x0b-\x1f]", text + marked)


def test_where_no_row_was_knit_to_its_end_there_is_no_table_of_rows() -> None:
    listed = list(lines([entry(0, "open", "3.2"), entry(5, "card", "4.0")]))
    for told in (as_text("Scarf", times(listed), listed), as_markdown("Scarf", times(listed), listed)):
        headings = [line.removeprefix("## ") for line in told]
        assert "Lines" in headings
        assert "Rows" not in headings


def test_the_csv_has_one_line_a_step_and_no_formula() -> None:
    rows = list(csv.DictReader(io.StringIO("\n".join(as_csv(lines(EVENING))))))
    assert len(rows) == len(EVENING)
    assert rows[3] == {
        "time": "2026-01-05T19:30:40.000+01:00",
        "did": "card",
        "row": "3",
        "moves": "0",
        "seconds": "18.000",
        "what": "done, crossed rope",
    }
    assert rows[9]["seconds"] == ""
    assert not any(row["what"].startswith(("=", "+", "-", "@")) for row in rows)


def test_every_kind_of_line_has_words_of_its_own(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8, 6)
    session.back()
    session.forward()
    session.note("tight")
    session.set_counter(3)
    session.take(next(iter(ways(session, "t", "6").values())))
    session.take_back()
    session.close()
    said = {what(entry.event) for entry in entries(session.ledger.path)}
    assert {
        "opened",
        "to row 8",
        "done, crossed rope",
        "note, row 9: tight",
        "machine's counter reads 3, 10 expected",
        "taken back: SS 6 from row 9",
        "closed",
    } <= said
    assert any(words.startswith("differs: SS 6 from row 9. ") for words in said), "and what it did"


def test_the_command_prints_each_form_and_says_when_nothing_is_knit(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)

    def ledger_of(*argv: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "purlside", "ledger", *argv]
        return subprocess.run(command, capture_output=True, text=True, check=False)

    def prints(*argv: str) -> subprocess.CompletedProcess[str]:
        return ledger_of(str(plan), *argv)

    before = prints()
    assert (before.returncode, before.stdout) == (2, "")
    assert before.stderr == (
        f"{plan}: found no ledger; allowed: a plan that was opened; open it with: purlside {plan}\n"
    )
    nowhere = ledger_of(str(tmp_path / "gone.toml"))
    assert nowhere.returncode == 2
    assert "found no ledger and no plan" in nowhere.stderr
    at(opened(plan), 3, 2).close()
    assert prints("--text").stdout.startswith("Tried out\n1 session")
    assert prints("--markdown").stdout.startswith("# Tried out: ledger\n")
    assert prints("--csv").stdout.startswith("time,did,row,moves,seconds,what\n")
    assert prints("--csv", "--text").returncode == 2


def test_a_ledger_line_is_plain_json(ledger: Ledger) -> None:
    ledger.append(Noted(Place(3, 0), 3, "Ø \u2028"))
    (line,) = ledger.path.read_bytes().splitlines()
    data = json.loads(line)
    assert (data["did"], data["at"], data["text"]) == ("note", "3.0", "Ø \u2028")
    assert datetime.fromisoformat(data["t"]).tzinfo is not None
