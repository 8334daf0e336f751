"""What keys do: one registry for bindings, key line and help; which keys is a setting.

A key is named by its character (``"g"``, ``"?"``) or, where it has none, by
its name (``"space"``, ``"pagedown"``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from purlside.keep.settings import SettingsError


@dataclass(frozen=True, slots=True)
class Action:
    """One thing a key does. ``short`` stands on the key line; empty keeps it off."""

    name: str
    keys: tuple[str, ...]
    help: str
    short: str = ""


BEDSIDE = (
    Action("forward", ("space", "enter", "pagedown"), "done: show the next step", "next"),
    Action(
        "back", ("backspace", "pageup"), "one step back; right after going to a row: back to where you were", "back"
    ),
    Action("next_move", ("down",), "one move on, within the step", "move"),
    Action("move_back", ("up",), "one move back"),
    Action("next_row", ("r",), "to the start of the next row"),
    Action("row_back", ("R",), "to the start of this row, or of the row before"),
    Action("go_to", ("g",), "go to a row", "row"),
    Action("why", ("w",), "why this step is as it is", "why"),
    Action("differs", ("d",), "the knitting differs from the plan: say how, or take it back", "differs"),
    Action("check", ("b",), "the bed: how it must look now, to be ticked off, as after a break"),
    Action("knit_again", ("k",), "knit it again: another panel, as planned, as you really knit it, or mirrored"),
    Action("note", ("n",), "keep a note, pinned to this row; as 30: text to row 30; - takes the last one off", "note"),
    Action("ledger", ("h",), "the ledger: what was done, when, how long it took"),
    Action("went", ("e",), "record how the crossing went: easy, firm, tight, broke", "record"),
    Action("figures", ("f",), "figures: reach, size, yarn, time", "figures"),
    Action("draft", ("D", "f2"), "to the drafting table with this plan, and back to this place"),
    Action("reread", ("p",), "take up the plan file as another program has changed it, at this place"),
    Action("sheet", ("s",), "write the sheet, the printable hand-out", "sheet"),
    Action("mute", ("m",), "calls: sound off or on", "mute"),
    Action("sound_test", ("t",), "sound the three calls"),
    Action("columns", ("c",), "strip: columns a needle, as many as fit or 1, 2, 3"),
    Action("drawing", ("a",), "strip: line drawing or ASCII only"),
    Action("theme", ("l",), "light or dark"),
    Action("magnify", ("z",), "magnified: to be read from two metres, and back", "magnify"),
    Action("settings", (",",), "settings: keys, pedal, calls, look", "settings"),
    Action("help", ("?", "f1"), "all keys, and how to read the strip", "keys"),
    Action("leave", ("q",), "leave: back to the shelf, or close", "leave"),
)

DIFFERS = (
    Action("open", ("enter",), "ask what this line must ask, and show its ways", "choose"),
    Action("say", ("y",), "yes: do what the chosen way says", "yes, do it"),
    Action("down", ("down",), "next line", "next"),
    Action("up", ("up",), "line before"),
    Action("page_down", ("pagedown", "right", "space"), "more of what it does", "more"),
    Action("page_up", ("pageup", "left"), "back in what it does"),
    Action("take_back", ("u",), "take back what was said last", "take back"),
    Action("leave", ("escape", "q", "d"), "leave, changing nothing", "leave"),
)

WELCOME = (
    Action("tick", ("space", "enter", "pagedown", "down"), "so it is: the next line", "so it is"),
    Action("untick", ("backspace", "pageup", "up"), "back to the line before", "back"),
    Action("leave", ("escape", "q", "b"), "to the bedside", "to the bedside"),
)

LEDGER = (
    Action("page_down", ("pagedown", "space"), "a screen on", "on"),
    Action("page_up", ("pageup", "backspace"), "a screen back", "back"),
    Action("down", ("down", "j"), "a line on"),
    Action("up", ("up", "k"), "a line back"),
    Action("first", ("home",), "to the top"),
    Action("last", ("end",), "to the end"),
    Action("leave", ("escape", "q", "h", "enter"), "leave", "leave"),
)

SHELF = (
    Action("open", ("enter", "space"), "open the plan where it was left", "open"),
    Action("down", ("down",), "next plan", ""),
    Action("up", ("up",), "plan before", ""),
    Action(
        "draft", ("e",), "draft it: design the plan on the drafting table; mend a file that cannot be read", "draft"
    ),
    Action("new_plan", ("n",), "a new plan, from five questions", "new"),
    Action("copy", ("c",), "a copy of the plan, on the drafting table", "copy"),
    Action("figures", ("f",), "figures of the plan: will it cross, size, yarn, time", "figures"),
    Action("yarns", ("y",), "my yarns", "yarns"),
    Action("knit_again", ("k",), "knit it again: another panel of this plan", "again"),
    Action("forget", ("x",), "take the plan off the shelf (its file and ledger stay)", "take off"),
    Action("samples", ("s",), "copy a sample plan into this folder", "samples"),
    Action("tour", ("u",), "the tour: a crossing row in one minute", "tour"),
    Action("theme", ("l",), "light or dark", "light"),
    Action("settings", (",",), "settings: keys, pedal, calls, look", "settings"),
    Action("help", ("?", "f1"), "all keys", "keys"),
    Action("leave", ("q", "escape"), "close", "close"),
)

SETTINGS = (
    Action("down", ("down", "j"), "next line"),
    Action("up", ("up", "k"), "line before"),
    Action("page_down", ("pagedown",), "a screen on"),
    Action("page_up", ("pageup",), "a screen back"),
    Action("change", ("enter", "space"), "change it; for a key: press another", "change"),
    Action("more", ("right",), "more", "more"),
    Action("less", ("left",), "less", "less"),
    Action("add", ("+",), "for a key: one more key", "add key"),
    Action("reset", ("x", "delete", "backspace"), "as it came", "as it came"),
    Action("reset_keys", ("D",), "all keys as they came", "all keys as they came"),
    Action("sound_test", ("t",), "sound the three calls", "test"),
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
    Action("down", ("down", "j"), "next sample"),
    Action("up", ("up", "k"), "sample before"),
    Action("leave", ("escape", "q"), "back", "back"),
)

MENDING = (
    Action("put", ("enter",), "put the line in its place; the file is written once it can be read", "put"),
    Action("up", ("up",), "the line above", "above"),
    Action("down", ("down",), "the line below", "below"),
    Action("add", ("f3",), "a new line below", "new line"),
    Action("take_out", ("f4",), "take the line out", "take out"),
    Action("leave", ("escape",), "leave the file as it is", "leave"),
)

FIGURES = (
    Action("down", ("down", "j"), "a line down"),
    Action("up", ("up", "k"), "a line up"),
    Action("page_down", ("pagedown", "space"), "a screen down", "more"),
    Action("page_up", ("pageup", "backspace"), "a screen up"),
    Action("top", ("home",), "to the top"),
    Action("bottom", ("end",), "to the end"),
    Action("width", ("w",), "needles for a wanted width", "width"),
    Action("length", ("h",), "how long: rows for a wanted length", "how long"),
    Action("take_in", ("t",), "take-in of the cables, from your swatch", "take-in"),
    Action("yarns", ("y",), "my yarns", "yarns"),
    Action("theme", ("l",), "light or dark"),
    Action("help", ("?", "f1"), "all keys", "keys"),
    Action("leave", ("q", "escape", "f"), "back", "back"),
)

YARNS = (
    Action("down", ("down", "j"), "next yarn"),
    Action("up", ("up", "k"), "yarn before"),
    Action("new_yarn", ("n",), "keep a yarn", "keep a yarn"),
    Action("change_yarn", ("c", "enter"), "change what is kept of it", "change"),
    Action("swatch", ("s",), "a swatch measured, unravelled or both", "swatch"),
    Action("use", ("u",), "write a swatch, and what its crossings have taught, into the plan", "use in plan"),
    Action("remove", ("x",), "take the yarn out", "take out"),
    Action("theme", ("l",), "light or dark"),
    Action("help", ("?", "f1"), "all keys", "keys"),
    Action("leave", ("q", "escape", "y"), "back", "back"),
)

DRAFTING = (
    Action("place", ("p",), "place a cable at the cursor: 3/3 RC, C6F, 3 over 3 right, R1-R3 over L3-L1", "place"),
    Action("motif", ("m",), "lay down a motif: rope, wave, plait, honeycomb, lattice and more", "motif"),
    Action("ease", ("e",), "ease: plain, enlarge, extra rows, both, by hand, auto", "ease"),
    Action("other_way", ("x",), "cross the other way: the other half in front", "turn over"),
    Action("widen", ("+", "="), "each strand a stitch wider", "wider"),
    Action("narrow", ("-",), "each strand a stitch narrower", "narrower"),
    Action("next_cable", ("tab",), "take the next cable or motif in hand", "next cable"),
    Action("undo", ("u", "ctrl+z"), "undo", "undo"),
    Action("knit", ("f2",), "save, and knit it: to the bedside", "knit it"),
    Action("find", ("/",), "find anything by a word", "find"),
    Action("help", ("?", "f1"), "all keys, and how to read the chart", "all keys"),
    Action("save", ("ctrl+s",), "save", "save"),
    Action(
        "fields",
        ("i",),
        "to the fields, and back; on a small screen with more of the verdict. Enter types in one, Delete takes a band, "
        "shaping, a part, a reminder out",
        "fields",
    ),
    Action(
        "take",
        ("enter", "space"),
        "take the cable here in hand and move it with the arrows; where there is none, place one",
    ),
    Action("cable_before", ("shift+tab",), "the cable or motif before"),
    Action("move_left", ("shift+left",), "move what is in hand a needle to the left, as seen"),
    Action("move_right", ("shift+right",), "move it a needle to the right"),
    Action("move_up", ("shift+up",), "move it a row up"),
    Action("move_down", ("shift+down",), "move it a row down"),
    Action("first_row", ("h",), "what is in hand crosses first here, in the cursor's row"),
    Action("further", (">",), "crossings a row further apart"),
    Action("closer", ("<",), "crossings a row closer"),
    Action("more_times", ("t",), "one repeat more"),
    Action("fewer_times", ("T",), "one repeat fewer"),
    Action("end_whole", ("f5",), "end with a whole repeat before the panel does"),
    Action("pair", ("f3",), "a mirrored twin at the other side, tied to it; with one: untie them"),
    Action("mirror", ("X",), "mirror it across the panel's middle"),
    Action("centre", ("f4",), "to the middle of the panel"),
    Action("space_evenly", ("f6",), "space all cables evenly across the panel"),
    Action("dissolve", ("f7",), "take a motif apart: each of its cables for itself"),
    Action("copy_cable", ("c",), "copy it beside itself", "copy"),
    Action("delete", ("delete",), "delete what is in hand", "delete"),
    Action("front_wider", ("ctrl+up",), "only the half in front wider"),
    Action("front_narrower", ("ctrl+down",), "only the half in front narrower"),
    Action("back_wider", ("ctrl+right",), "only the half behind wider"),
    Action("back_narrower", ("ctrl+left",), "only the half behind narrower"),
    Action("ladder", ("o",), "the cursor's needle out of work, or back in work"),
    Action("band", ("b",), "a band from this row: another stitch size or colour"),
    Action("reminder", ("n",), "a note to be told in this row"),
    Action("shape", ("d",), "shaping from this row: decrease, increase, cast off or on, short rows, at either edge"),
    Action("stitch", ("w",), "work on this needle: by hand, a bead, a purl column, an enlarged stitch"),
    Action(
        "part", ("P",), "a part after the panel, one side of a neck, from this needle to the edge; the next mirrors it"
    ),
    Action("mirror_all", ("f8",), "the whole plan in the mirror: the other front of a pair"),
    Action("redo", ("U", "ctrl+y"), "do again what was undone"),
    Action("picture", ("v",), "the fabric as it will look, and back to the chart", "fabric"),
    Action("turn_over", ("V",), "the other side of the fabric"),
    Action("save_as", ("f12",), "save under another name"),
    Action("go_to", ("g",), "go to a row, or a needle: 40, R12, R12 40"),
    Action("shape_evenly", ("ctrl+e",), "shape evenly: so many stitches over so many rows"),
    Action("measures", ("ctrl+g",), "shape a back, a front or a sleeve from its measures"),
    Action("meet_wanted", ("ctrl+t",), "the needles and rows that meet the size wanted, after take-in"),
    Action("refit", ("ctrl+r",), "refit: the same design for another machine, yarn, gauge or tools"),
    Action("read_pattern", ("ctrl+o",), "lay down a published pattern, from its text in a file"),
    Action("figures", ("f",), "figures: reach, size, yarn, time"),
    Action("sheet", ("s",), "write the sheet, or a picture of the fabric, into a file"),
    Action("look_at_sheet", ("f9",), "look at the sheet"),
    Action("left", ("left",), "cursor left"),
    Action("right", ("right",), "cursor right"),
    Action("row_up", ("up",), "cursor up a row"),
    Action("row_down", ("down",), "cursor down a row"),
    Action("page_up", ("pageup",), "a screen of rows up"),
    Action("page_down", ("pagedown",), "a screen of rows down"),
    Action("left_edge", ("home",), "to the left edge, as seen"),
    Action("right_edge", ("end",), "to the right edge"),
    Action("theme", ("l",), "light or dark"),
    Action("settings", (",",), "settings: keys, pedal, calls, look"),
    Action("leave", ("q", "escape"), "leave the drafting table", "leave"),
)

GROUPS = {"Keys at the bedside": BEDSIDE, "Keys on the shelf": SHELF, "Keys on the drafting table": DRAFTING}
"""The screens whose keys can be rebound."""

_NAMES = {
    "space": "Space",
    "enter": "Enter",
    "pagedown": "Page Down",
    "pageup": "Page Up",
    "backspace": "Backspace",
    "down": "Down",
    "up": "Up",
    "left": "Left",
    "right": "Right",
    "escape": "Esc",
    "home": "Home",
    "end": "End",
    "tab": "Tab",
    "shift+tab": "Shift Tab",
    "shift+left": "Shift Left",
    "shift+right": "Shift Right",
    "shift+up": "Shift Up",
    "shift+down": "Shift Down",
    "delete": "Del",
    "ctrl+z": "Ctrl Z",
    "ctrl+y": "Ctrl Y",
    "ctrl+s": "Ctrl S",
    "ctrl+o": "Ctrl O",
    "ctrl+r": "Ctrl R",
    "ctrl+t": "Ctrl T",
    "ctrl+up": "Ctrl Up",
    "ctrl+down": "Ctrl Down",
    "ctrl+left": "Ctrl Left",
    "ctrl+right": "Ctrl Right",
}


def key_text(key: str) -> str:
    """A key as it is printed on the keyboard."""
    return _NAMES.get(key) or (key.upper() if len(key) > 1 else key)


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
        if not any(found is action for found in taken.values()):
            raise KeyConflict(f'settings, keys: no key is left for "{action.name}"; give it one')
    return {key: action for action in listed for key, found in taken.items() if found is action}


def keys_of(keys: Mapping[str, Action], action: Action) -> list[str]:
    """The keys that do an action, as printed."""
    return [key_text(key) for key, found in keys.items() if found.name == action.name]
