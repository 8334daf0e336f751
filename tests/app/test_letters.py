"""A letter means one thing on every screen, and its capital is never unrelated to it."""

from __future__ import annotations

from collections import defaultdict

from purlside.app import actions

SCREENS = {
    name: getattr(actions, name)
    for name in ("BEDSIDE", "DIFFERS", "WELCOME", "LEDGER", "SHELF", "FIGURES", "YARNS", "DRAFTING")
}
ONE_THING = {
    "new": {"note", "reminder", "new_plan", "new_yarn"},
    "view": {"check", "picture", "turn_over"},
    "undo": {"undo", "redo", "take_back"},
    "copy": {"copy", "copy_cable"},
    "row": {"next_row", "row_back"},
    "times": {"more_times", "fewer_times"},
    "turn over": {"other_way", "mirror"},
}
"""What several actions have in common, on whichever screen."""


def meaning(name: str) -> str:
    return next((thing for thing, names in ONE_THING.items() if name in names), name)


def test_a_letter_means_the_same_on_every_screen_and_so_does_its_capital() -> None:
    means: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for screen, listed in SCREENS.items():
        for action in listed:
            if action.name in ("leave", "say"):
                continue  # the letter that opened a screen leaves it; y there says yes to what is asked
            for key in action.keys:
                if len(key) == 1 and key.isalpha():
                    means[key.lower()][meaning(action.name)].append(screen)
                elif key.startswith("ctrl+") and len(key) == 6:
                    means[key][meaning(action.name)].append(screen)
    assert len(means) > 20
    assert {key: dict(each) for key, each in means.items() if len(each) > 1} == {}


def test_only_delete_deletes_and_only_f2_changes_desks() -> None:
    for screen, listed in SCREENS.items():
        for action in listed:
            if action.name in ("delete", "remove", "forget"):
                assert action.keys == ("delete",), screen
            if "f2" in action.keys:
                assert action.name in ("draft", "knit"), screen
            if action.name in ("draft", "knit"):
                assert action.keys == ("f2",), screen
