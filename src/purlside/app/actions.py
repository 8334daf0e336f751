"""What keys do: one registry for bindings, key line and help; which keys is a setting.

A key is named by its character (``"g"``, ``"?"``) or, where it has none, by
its name (``"space"``, ``"pagedown"``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from purlside.keep.settings import SettingsError
from purlside.values import Value


class Action(Value):
    """One thing a key does. ``short`` stands on the key line; empty keeps it off."""

    name: str
    keys: tuple[str, ...]
    help: str
    short: str = ""
    group: str = ""
    """What one wants with it, as the help is grouped."""


KNIT, MEND, LOOK, MORE = "Knit", "Put right and keep", "Look", "More"
CABLE, PLAN, MOVE = "The cable in hand", "The plan", "Move about"

BEDSIDE = (
    Action("forward", ("space", "enter", "pagedown"), "done, next step", "done", KNIT),
    Action(
        "back", ("backspace", "pageup"), "one step back; after going to a row, or a run of steps: back", "back", KNIT
    ),
    Action("next_move", ("down",), "one move on, within the step", "move", KNIT),
    Action("move_back", ("up",), "one move back", "", KNIT),
    Action("next_row", ("r",), "to the start of the next row", "", KNIT),
    Action("row_back", ("R",), "to the start of this row, or of the row before", "", KNIT),
    Action("go_to", ("g",), "go to a row", "row", KNIT),
    Action("differs", ("d",), "what happened? Too many rows, ripped back, a stitch dropped …", "what happened?", MEND),
    Action("check", ("v",), "view the bed: how it must look now, ticked off, as after a break", "", MEND),
    Action("note", ("n",), "a new note for this row; 30: text is for row 30; - takes the last one off", "note", MEND),
    Action("went", ("j",), "judge how the crossing went: easy, firm, tight, broke", "", MEND),
    Action("reread", ("ctrl+r",), "reload the plan, keep my place", "", MEND),
    Action("why", ("w",), "why this step is as it is", "why", LOOK),
    Action("magnify", ("z",), "bigger: to be read across the room, and back", "bigger", LOOK),
    Action("again", ("a",), "say the step again, with its tone", "", LOOK),
    Action("ledger", ("l",), "the ledger: what was done, when, how long it took", "", LOOK),
    Action("figures", ("f",), "figures: will it cross, size, yarn, time", "", LOOK),
    Action("knit_again", ("k",), "knit it again: another panel, as planned, as really knit, or mirrored", "", MORE),
    Action("draft", ("f2",), "to the drafting table with this plan, and back to this place", "", MORE),
    Action("sheet", ("s",), "write the sheet, the printable hand-out", "", MORE),
    Action("mute", (), "sound off or on", "", MORE),
    Action("sound_test", (), "sound the calls", "", MORE),
    Action("columns", (), "strip: as many columns a needle as fit, or 1, 2, 3", "", MORE),
    Action("drawing", (), "draw in lines or in ASCII only", "", MORE),
    Action("theme", (), "light or dark", "", MORE),
    Action("settings", (",",), "settings: keys, pedal, calls, look", "", MORE),
    Action("find", ("/",), "find anything by a word", "find", MORE),
    Action("help", ("?", "f1"), "all keys, and how to read the strip", "all keys", MORE),
    Action("leave", ("q",), "leave: back to the shelf, or close", "", MORE),
)

DIFFERS = (
    Action("open", ("enter",), "ask what this line must ask, and show its ways", "choose"),
    Action("say", ("y",), "yes: do what the chosen way says", "yes, do it"),
    Action("take_back", ("u",), "take back what was said last", "take back"),
    Action("down", ("down",), "next line", "next"),
    Action("up", ("up",), "line before"),
    Action("page_down", ("pagedown", "right", "space"), "more of what it does", "more"),
    Action("page_up", ("pageup", "left"), "back in what it does"),
    Action("leave", ("escape", "q", "d"), "leave, changing nothing", "leave"),
)

WELCOME = (
    Action("tick", ("space", "enter", "pagedown", "down"), "so it is: the next line", "so it is"),
    Action("untick", ("backspace", "pageup", "up"), "back to the line before", "back"),
    Action("leave", ("escape", "q", "v"), "to the bedside", "to the bedside"),
)

READING = (
    Action("down", ("down",), "a line on"),
    Action("up", ("up",), "a line back"),
    Action("page_down", ("pagedown", "space"), "a screen on", "on"),
    Action("page_up", ("pageup", "backspace"), "a screen back", "back"),
    Action("first", ("home",), "to the top"),
    Action("last", ("end",), "to the end"),
)
LEDGER = (*READING, Action("leave", ("escape", "q", "l", "enter"), "leave", "leave"))
HELPING = (*READING, Action("leave", ("escape", "q", "?", "f1", "enter"), "leave", "leave"))

SHELF = (
    Action("open", ("enter", "space"), "open the plan where it was left", "open", KNIT),
    Action("down", ("down",), "next plan", "", KNIT),
    Action("up", ("up",), "plan before", "", KNIT),
    Action("draft", ("f2",), "to the drafting table; mend a file that cannot be read", "draft", MEND),
    Action("new_plan", ("n",), "a new plan, from five questions", "new", MEND),
    Action("copy", ("c",), "a copy of the plan, on the drafting table", "copy", MEND),
    Action("knit_again", ("k",), "knit it again: another panel of this plan", "", KNIT),
    Action("forget", ("delete",), "take the plan off the shelf (its file and ledger stay)", "", MEND),
    Action("figures", ("f",), "figures of the plan: will it cross, size, yarn, time", "figures", LOOK),
    Action("yarns", ("y",), "my yarns", "my yarns", LOOK),
    Action("samples", ("f4",), "copy a sample plan into this folder", "samples", MORE),
    Action("tour", ("f3",), "the tour: a crossing row in one minute", "tour", MORE),
    Action("theme", (), "light or dark", "", MORE),
    Action("settings", (",",), "settings: keys, pedal, calls, look", "", MORE),
    Action("find", ("/",), "find anything by a word", "find", MORE),
    Action("help", ("?", "f1"), "all keys", "all keys", MORE),
    Action("leave", ("q", "escape"), "close", "close", MORE),
)

SETTINGS = (
    Action("down", ("down",), "next line"),
    Action("up", ("up",), "line before"),
    Action("page_down", ("pagedown",), "a screen on"),
    Action("page_up", ("pageup",), "a screen back"),
    Action("change", ("enter", "space"), "change it; for a key: press another", "change"),
    Action("more", ("right",), "more", "more"),
    Action("less", ("left",), "less", "less"),
    Action("add", ("+",), "for a key: one more key", "add key"),
    Action("reset", ("delete", "backspace"), "reset", "reset"),
    Action("reset_keys", ("f3",), "reset all keys", "reset all keys"),
    Action("sound_test", ("f4",), "sound the calls", "test"),
    Action("leave", ("escape", "q", ","), "back", "back"),
)
"""Keys of lists and forms are fixed, so that nobody can lock themselves out of the settings."""

TOUR = (
    Action("forward", ("space", "enter", "pagedown", "right"), "go on", "go on"),
    Action("back", ("backspace", "pageup", "left"), "one back", "one back"),
    Action("leave", ("escape", "q"), "leave the tour", "leave"),
)

SAMPLES = (
    Action("open", ("enter", "space"), "copy it into this folder", "copy"),
    Action("down", ("down",), "next sample"),
    Action("up", ("up",), "sample before"),
    Action("leave", ("escape", "q"), "back", "back"),
)

MENDING = (
    Action("put", ("enter",), "keep the line; the file is written once it can be read", "keep line"),
    Action("up", ("up",), "the line above", "above"),
    Action("down", ("down",), "the line below", "below"),
    Action("add", ("f3",), "a new line below", "new line"),
    Action("take_out", ("f4",), "take the line out", "take out"),
    Action("leave", ("escape",), "leave the file as it is", "leave"),
)

FIGURES = (
    Action("down", ("down",), "a line down"),
    Action("up", ("up",), "a line up"),
    Action("page_down", ("pagedown", "space"), "a screen down", "more"),
    Action("page_up", ("pageup", "backspace"), "a screen up"),
    Action("first", ("home",), "to the top"),
    Action("last", ("end",), "to the end"),
    Action("width", ("1",), "needles for a wanted width", "width"),
    Action("length", ("2",), "rows for a wanted length", "length"),
    Action("take_in", ("3",), "take-in of the cables, from your swatch", "take-in"),
    Action("yarns", ("y",), "my yarns", "my yarns"),
    Action("help", ("?", "f1"), "all keys", "all keys"),
    Action("leave", ("q", "escape", "f"), "back", "back"),
)

YARNS = (
    Action("down", ("down",), "next yarn"),
    Action("up", ("up",), "yarn before"),
    Action("new_yarn", ("n",), "a new yarn", "new"),
    Action("change_yarn", ("enter",), "change what is kept of it", "change"),
    Action("swatch", ("f3",), "unravel a swatch: yarn in one loop", "swatch"),
    Action("use", ("f4",), "write what its crossings have taught into the plan", "use in plan"),
    Action("remove", ("delete",), "take it out of my yarns", "take out"),
    Action("help", ("?", "f1"), "all keys", "all keys"),
    Action("leave", ("q", "escape", "y"), "back", "back"),
)

DRAFTING = (
    Action(
        "place", ("p",), "place a cable at the cursor: 3/3 RC, C6F, 3 over 3 right, R1-R3 over L3-L1", "place", CABLE
    ),
    Action("motif", ("m",), "lay down a motif: rope, wave, plait, honeycomb, lattice and more", "motif", CABLE),
    Action("ease", ("e",), "ease: plain, enlarge, extra rows, both, by hand, auto", "ease", CABLE),
    Action("other_way", ("x",), "cross the other way: the other half in front", "turn over", CABLE),
    Action("widen", ("+", "="), "each strand a stitch wider", "wider", CABLE),
    Action("narrow", ("-",), "each strand a stitch narrower", "narrower", CABLE),
    Action("next_cable", ("tab",), "take the next cable or motif in hand", "next cable", CABLE),
    Action("undo", ("u", "ctrl+z"), "undo", "undo", PLAN),
    Action("knit", ("f2",), "save, and knit it: to the bedside", "knit it", PLAN),
    Action("help", ("?", "f1"), "all keys, and how to read the chart", "all keys"),
    Action("save", ("ctrl+s",), "save", "save", PLAN),
    Action(
        "fields",
        ("i",),
        "to the fields, and back; on a small screen with more of the verdict. Enter types in one, Delete takes a band, shaping, a part, a reminder out",
        "fields",
        PLAN,
    ),
    Action(
        "take",
        ("enter", "space"),
        "take the cable here in hand and move it with the arrows; where there is none, place one",
        "",
        CABLE,
    ),
    Action("cable_before", ("shift+tab",), "the cable or motif before", "", CABLE),
    Action("move_left", ("shift+left",), "move what is in hand a needle to the left, as seen", "", CABLE),
    Action("move_right", ("shift+right",), "move it a needle to the right", "", CABLE),
    Action("move_up", ("shift+up",), "move it a row up", "", CABLE),
    Action("move_down", ("shift+down",), "move it a row down", "", CABLE),
    Action("first_row", ("h",), "what is in hand crosses first here, in the cursor's row", "", CABLE),
    Action("further", (">",), "crossings a row further apart", "", CABLE),
    Action("closer", ("<",), "crossings a row closer", "", CABLE),
    Action("more_times", ("t",), "one repeat more", "", CABLE),
    Action("fewer_times", ("T",), "one repeat fewer", "", CABLE),
    Action("end_whole", ("f5",), "end with a whole repeat before the panel does", "", CABLE),
    Action("pair", ("f3",), "a mirrored twin at the other side, tied to it; with one: untie them", "", CABLE),
    Action("mirror", ("X",), "mirror it across the panel's middle", "", CABLE),
    Action("centre", ("f4",), "to the middle of the panel", "", CABLE),
    Action("space_evenly", ("f6",), "space all cables evenly across the panel", "", CABLE),
    Action("dissolve", ("f7",), "take a motif apart: each of its cables for itself", "", CABLE),
    Action("copy_cable", ("c",), "copy it beside itself", "copy", CABLE),
    Action("delete", ("delete",), "delete what is in hand", "delete", CABLE),
    Action("front_wider", ("ctrl+up",), "only the half in front wider", "", CABLE),
    Action("front_narrower", ("ctrl+down",), "only the half in front narrower", "", CABLE),
    Action("back_wider", ("ctrl+right",), "only the half behind wider", "", CABLE),
    Action("back_narrower", ("ctrl+left",), "only the half behind narrower", "", CABLE),
    Action("ladder", ("o",), "the cursor's needle out of work, or back in work", "", PLAN),
    Action("band", ("b",), "a band from this row: another stitch size or colour", "", PLAN),
    Action("reminder", ("n",), "a note to be told in this row", "", PLAN),
    Action(
        "shape",
        ("ctrl+d",),
        "shaping from this row: decrease, increase, cast off or on, short rows, at either edge",
        "",
        PLAN,
    ),
    Action("stitch", (".",), "work on this needle alone: by hand, a bead, a purl column, an enlarged stitch", "", PLAN),
    Action(
        "part",
        ("ctrl+p",),
        "a part after the panel, one side of a neck, from this needle to the edge; the next mirrors it",
        "",
        PLAN,
    ),
    Action("mirror_all", ("f8",), "the whole plan in the mirror: the other front of a pair"),
    Action("redo", ("U", "ctrl+y"), "do again what was undone", "", PLAN),
    Action("shape_evenly", ("ctrl+e",), "shape evenly: so many stitches over so many rows", "", PLAN),
    Action("measures", ("ctrl+g",), "shape a back, a front or a sleeve from its measures", "", PLAN),
    Action("meet_wanted", ("ctrl+t",), "the needles and rows that meet the size wanted, after take-in", "", PLAN),
    Action("refit", ("ctrl+f",), "refit: the same design for another machine, yarn, gauge or tools", "", PLAN),
    Action("read_pattern", ("ctrl+o",), "lay down a published pattern, from its text in a file", "", PLAN),
    Action("figures", ("f",), "figures: will it cross, size, yarn, time", "", LOOK),
    Action("sheet", ("s",), "write the sheet, or a picture of the fabric, into a file", "", PLAN),
    Action("look_at_sheet", ("f9",), "look at the sheet", "", LOOK),
    Action("picture", ("v",), "the fabric as it will look, and back to the chart", "fabric", LOOK),
    Action("turn_over", ("V",), "the other side of the fabric", "", LOOK),
    Action("save_as", ("f12",), "save under another name", "", PLAN),
    Action("go_to", ("g",), "go to a row, or a needle: 40, R12, R12 40", "", MOVE),
    Action("left", ("left",), "cursor left", "", MOVE),
    Action("right", ("right",), "cursor right", "", MOVE),
    Action("row_up", ("up",), "cursor up a row", "", MOVE),
    Action("row_down", ("down",), "cursor down a row", "", MOVE),
    Action("page_up", ("pageup",), "a screen of rows up", "", MOVE),
    Action("page_down", ("pagedown",), "a screen of rows down", "", MOVE),
    Action("left_edge", ("home",), "to the left edge, as seen", "", MOVE),
    Action("right_edge", ("end",), "to the right edge", "", MOVE),
    Action("theme", (), "light or dark"),
    Action("settings", (",",), "settings: keys, pedal, calls, look"),
    Action("find", ("/",), "find anything by a word", "find"),
    Action("leave", ("q", "escape"), "leave the drafting table", "leave"),
)

GROUPS = {"Keys at the bedside": BEDSIDE, "Keys on the shelf": SHELF, "Keys on the drafting table": DRAFTING}
"""The screens whose keys can be rebound."""

_NAMES = {"pagedown": "Page Down", "pageup": "Page Up", "escape": "Esc", "delete": "Del"}


def key_text(key: str) -> str:
    """A key as it is printed on the keyboard: ``"Ctrl Z"``, ``"Page Down"``, ``"g"``."""
    return " ".join(_NAMES.get(part, part.capitalize()) for part in key.split("+")) if len(key) > 1 else key


class KeyConflict(SettingsError):
    """Keys in the settings that cannot work; the message says which and why."""


def keymap(actions: Iterable[Action], over: Mapping[str, Sequence[str]]) -> dict[str, Action]:
    """Which key does what, settings over defaults. Raises KeyConflict."""
    listed = list(actions)
    taken: dict[str, Action] = {}
    for action in sorted(listed, key=lambda a: a.name not in over):
        for key in over.get(action.name, action.keys):
            other = taken.get(key)
            if other is None:
                taken[key] = action
            elif action.name in over:
                raise KeyConflict(
                    f'settings, keys: "{key}" is given to both "{other.name}" and "{action.name}"; keep one'
                )
    for action in listed:
        if action.keys and not any(found is action for found in taken.values()):
            raise KeyConflict(f'settings, keys: no key is left for "{action.name}"; give it one')
    return {key: action for action in listed for key, found in taken.items() if found is action}


def keys_of(keys: Mapping[str, Action], action: Action) -> list[str]:
    """The keys that do an action, as printed."""
    return [key_text(key) for key, found in keys.items() if found.name == action.name]
