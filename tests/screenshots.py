"""Pictures of the running app for the README: ``python -m tests.screenshots [name ...]`` writes ``screenshots/``.

Each is the app itself, driven by keys, as SVG and as PNG. The same app gives the same bytes: plans, places, times and
the folder for everything kept are made up here. The PNG needs ``resvg-py`` and the font DejaVu Sans Mono
(Debian: ``fonts-dejavu-core``).
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import re
import shutil
import sys
import tempfile
import time
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from purlside.files.tables import checked

ROOT = Path(__file__).parent.parent
OUT = ROOT / "screenshots"
FAMILY = "DejaVu Sans Mono"
FONTS = ("DejaVuSansMono.ttf", "DejaVuSansMono-Bold.ttf")
FONT_FOLDERS = ("/usr/share/fonts/truetype/dejavu", "/usr/share/fonts/dejavu", "/usr/share/fonts/TTF", "/Library/Fonts")
BEGUN = datetime(2026, 1, 17, 14, 0, tzinfo=UTC)
SECONDS_A_STEP = 9
UNREADABLE = """\
format = 1
title = "Groyne shawl"
[machine]
pitch_mm = 9
[panel]
neddles = "L30-R30"
rows = 200
stitch_size = 6
"""


@dataclass(frozen=True)
class Shot:
    """One picture: the plan it opens on (none: the shelf), the row it was left at, and the keys pressed then."""

    name: str
    plan: str | None = "breakwater-rope"
    row: int = 1
    keys: tuple[str, ...] = ()
    size: tuple[int, int] = (100, 30)
    look: dict[str, Any] = field(default_factory=dict)
    sound: str = "off"


PASS = ("space", "space")
SHOTS = (
    Shot("bedside-pass", row=204, keys=PASS),
    Shot("crossing-step", row=204, keys=("space",) * 5),
    Shot("call", row=203),
    Shot("why", row=204, keys=(*PASS, "w")),
    Shot("extra-rows", "capstan-cushion", row=12, keys=PASS),
    Shot("by-hand", "lantern-yoke", row=18, keys=("space",)),
    Shot("plait", "lock-keeper-plait", row=12, keys=PASS),
    Shot("wide-panel", "three-tides", row=48, keys=("space", "space", "space"), size=(200, 50)),
    Shot("shaping", "slipway-jersey-front", row=163),
    Shot("short-rows", "slipway-jersey-front", row=254),
    Shot("light", row=204, keys=PASS, look={"theme": "light"}),
    Shot("ascii", row=204, keys=PASS, size=(80, 24), look={"drawing": "ascii"}),
    Shot("magnified", row=204, keys=(*PASS, "z")),
    Shot("welcome", row=204),
    Shot("differs", row=204, keys=("d",)),
    Shot("figures", keys=("f",)),
    Shot("settings", keys=(",",), sound="on"),
    Shot("help", keys=("?",), size=(100, 40)),
    Shot("finished", row=421),
    Shot("shelf", None),
    Shot("tour", None, keys=("f3", "space", "space")),
    Shot("yarns", None, keys=("y",)),
    Shot("drafting-table", None, keys=("f2",), size=(120, 40)),
    Shot("drafting-shape", "slipway-jersey-back", keys=("f2", "g", "1", "6", "0", "enter"), size=(120, 40)),
)


def knit(home: Path, plan: Path, row: int) -> None:
    """A ledger as if the plan had been knit step by step, at a steady pace, up to a row."""
    from purlside.files.planfile import read
    from purlside.keep import folders, panels
    from purlside.knitting.cursor import Knitting, Place
    from purlside.rows.working import Working

    knitting = Knitting(Working(read(plan).plan), Place(max(1, row - 30), 0))
    when, lines = BEGUN, []
    while True:
        entry = {"t": when.isoformat(timespec="milliseconds"), "did": "card", "at": str(knitting.place)}
        lines.append(json.dumps(entry))
        if knitting.place >= (row, 0):
            break
        knitting.go(knitting.next_place())
        when += timedelta(seconds=SECONDS_A_STEP)
    ledger = home / panels.of(plan).ledger.relative_to(folders.data())
    ledger.parent.mkdir(parents=True, exist_ok=True)
    ledger.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")


async def taken(shot: Shot) -> str:
    """The picture as SVG."""
    from purlside.app.app import PurlsideApp
    from purlside.app.screens.welcome import Welcome
    from purlside.files import planfile
    from purlside.keep.settings import Settings

    file = planfile.read(Path("patterns") / f"{shot.plan}.toml") if shot.plan else None
    app = PurlsideApp(file, checked(Settings, {"look": shot.look, "guard_ms": 0}))
    async with app.run_test(size=shot.size) as pilot:
        await pilot.pause()
        if isinstance(app.screen, Welcome) and shot.name != "welcome":
            app.screen.do_leave()
            await pilot.pause()
        for key in shot.keys:
            app.simulate_key(key)
            await pilot.pause()
        # Twice: what a key opens may ask for a second look once it knows its size.
        await pilot.pause()
        svg = app.export_screenshot(title="Purlside", simplify=True)
    # The fonts that are named there come from a web address; a picture in a repository asks nobody for anything.
    svg = re.sub(r"@font-face \{.*?\}\s*|<!--.*?-->\s*", "", svg, flags=re.DOTALL)
    return svg.replace("Fira Code", FAMILY)


def fonts() -> list[str]:
    found = [Path(folder) / FONTS[0] for folder in FONT_FOLDERS if (Path(folder) / FONTS[0]).is_file()]
    if not found:
        sys.exit(f"{FAMILY} is not installed (Debian: apt-get install fonts-dejavu-core)")
    return [str(found[0].with_name(name)) for name in FONTS]


def png(svg: str) -> bytes:
    import resvg_py

    drawn = resvg_py.svg_to_bytes(
        svg_string=svg,
        font_files=fonts(),
        skip_system_fonts=True,
        font_family=FAMILY,
        monospace_family=FAMILY,
        sans_serif_family=FAMILY,
        serif_family=FAMILY,
    )
    return bytes(drawn)


def prepared(shot: Shot, place: Path) -> None:
    """A knitter's folder: the patterns, one plan with a mistake, and what was knit so far."""
    shutil.rmtree(place, ignore_errors=True)
    home = place / "kept"
    home.mkdir(parents=True)
    os.environ |= {"PURLSIDE_HOME": str(home), "PURLSIDE_SOUND": shot.sound, "TZ": "UTC", "TEXTUAL_ANIMATIONS": "none"}
    time.tzset()
    shutil.copytree(ROOT / "patterns", place / "patterns")
    (place / "patterns" / "groyne-shawl.toml").write_text(UNREADABLE, encoding="utf-8")
    os.chdir(place)
    if shot.plan is None:
        knit(home, Path("patterns/breakwater-rope.toml"), 211)
        knit(home, Path("patterns/three-tides.toml"), 49)
    else:
        knit(home, Path(f"patterns/{shot.plan}.toml"), shot.row)


def main() -> int:
    words = argparse.ArgumentParser(prog="python -m tests.screenshots", description="Pictures of the running app.")
    words.add_argument("names", nargs="*", metavar="name", help="only these; default: all")
    words.add_argument("--out", type=Path, default=OUT, help="the folder they are written to")
    asked = words.parse_args()
    names = [shot.name for shot in SHOTS]
    if unknown := [name for name in asked.names if name not in names]:
        words.error(f"no picture {', '.join(unknown)}; there are {', '.join(names)}")
    out = asked.out.resolve()
    out.mkdir(parents=True, exist_ok=True)
    # Always the same folder: it is seen on some of the pictures.
    place = Path(tempfile.gettempdir()) / "knitting"
    for shot in SHOTS:
        if asked.names and shot.name not in asked.names:
            continue
        prepared(shot, place)
        svg = asyncio.run(taken(shot))
        (out / f"{shot.name}.svg").write_text(svg, encoding="utf-8")
        (out / f"{shot.name}.png").write_bytes(png(svg))
        print(f"{shot.name}: {shot.size[0]} × {shot.size[1]}")
    os.chdir(ROOT)
    shutil.rmtree(place, ignore_errors=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
