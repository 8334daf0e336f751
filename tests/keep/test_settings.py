"""The settings file: what it may say, what is refused and in which words, what is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from purlside.app.actions import BEDSIDE, GROUPS, KeyConflict, keymap
from purlside.app.options import Option, options
from purlside.app.rebinding import bound, check, keys_now, unbound, wrong_key, wrong_pedal
from purlside.files.tables import checked
from purlside.keep.settings import PEDAL_GUARD, CallSettings, LookSettings, Pedal, Settings, SettingsError, load, save
from purlside.plan import checked as plain
from tests.plans import cable, plan


def written(folder: Path, text: str) -> Settings:
    """The settings of a file, checked as when the app starts. Raises SettingsError with what is said of them."""
    file = folder / "settings.toml"
    file.write_text(text, "utf-8")
    found = load(file)
    check(found.settings)
    if found.said:
        raise SettingsError(found.said)
    return found.settings


def test_without_a_file_everything_is_as_it_came(tmp_path: Path) -> None:
    assert load(tmp_path / "none.toml").settings == Settings()


def test_what_is_kept_is_read_back_the_same(tmp_path: Path) -> None:
    settings = Settings(
        calls=CallSettings(ahead=3, silent={"Scarf": ("rope",)}, reminders=False),
        look=LookSettings(theme="light", columns=2),
        keys={"forward": ("b", "pagedown")},
        pedal=Pedal(key="f7", back="long"),
        guard_ms=0,
    )
    save(settings, tmp_path / "settings.toml")
    assert load(tmp_path / "settings.toml").settings == settings


def test_only_what_was_changed_is_written(tmp_path: Path) -> None:
    save(Settings(look=LookSettings(theme="light")), tmp_path / "settings.toml")
    assert (tmp_path / "settings.toml").read_text() == '[look]\ntheme = "light"\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[calls]\nahed = 2\n", "did you mean ahead?"),
        ("[calls]\nahead = 10\n", "calls, ahead"),
        ("[calls.coming]\npich = 500\n", "did you mean pitch?"),
        ("gard_ms = 5\n", "did you mean guard_ms?"),
        ("[pedal]\nback = 'twice'\n", "pedal, back"),
        ("[keys]\nforwrd = ['b']\n", '"forwrd" is not an action; did you mean "forward"?'),
        ("[keys]\nxyzzy = ['b']\n", '"xyzzy" is not an action; known: '),
        ("[keys]\nforward = ['pagedwn']\n", '"pagedwn" is not a key; did you mean "pagedown"?'),
        ("[keys]\nforward = ['']\n", '"" is not a key'),
        ("[keys]\nforward = ['ctrl+q']\n", "ends the program"),
        ("[keys]\nforward = ['b']\nback = ['b']\n", 'given to both "forward" and "back"'),
        ("[keys]\nforward = []\n", 'no key is left for "forward"'),
        ("[keys]\nwhy = ['g']\n", 'no key is left for "go_to"'),
        ("[pedal]\nkey = 'w'\n", 'w does "why this step is as it is"'),
        ("[pedal]\nkey = 'pedal'\n", '"pedal" is not a key'),
        ("not toml\n", "settings.toml"),
    ],
)
def test_what_cannot_be_used_is_said_with_what_was_meant(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(SettingsError) as refused:
        written(tmp_path, text)
    assert said in str(refused.value)


def test_a_key_in_the_file_takes_it_from_the_action_that_only_came_with_it(tmp_path: Path) -> None:
    settings = written(tmp_path, "[keys]\nnote = ['backspace']\n")
    keys = keymap(BEDSIDE, settings.keys)
    assert keys["backspace"].name == "note"
    assert keys["pageup"].name == "back"
    assert "n" not in keys


@pytest.mark.parametrize("key", ["b", "?", ",", "é", "f5", "pagedown", "ctrl+n", "shift+up", "space", "+"])
def test_every_key_a_knitter_may_want_can_be_named(key: str) -> None:
    assert wrong_key(key) is None


# --- binding on the screen ----------------------------------------------------


def test_a_key_that_does_something_is_refused_in_words() -> None:
    with pytest.raises(KeyConflict) as refused:
        bound(Settings(), "forward", ["w"])
    assert str(refused.value) == 'w already does "why this step is as it is"; choose another, or rebind that first'


def test_a_key_that_is_free_on_the_other_screen_only_is_free() -> None:
    assert keys_now(bound(Settings(), "forward", ["u"]).keys, "forward") == ["u"]
    assert keys_now(bound(Settings(), "samples", ["w"]).keys, "samples") == ["w"]


def test_a_key_shared_by_both_screens_is_looked_for_on_both() -> None:
    with pytest.raises(KeyConflict):
        bound(Settings(), "leave", ["u"])
    with pytest.raises(KeyConflict):
        bound(Settings(), "leave", ["w"])


def test_keys_come_back_as_they_were_unless_another_has_them_now() -> None:
    moved = bound(Settings(), "why", ["x"])
    assert unbound(moved, "why") == Settings()
    taken = bound(moved, "note", ["w"])
    with pytest.raises(KeyConflict, match="give that one back first"):
        unbound(taken, "why")


def test_whatever_is_bound_on_the_screen_can_be_read_from_the_file(tmp_path: Path) -> None:
    settings = Settings()
    named = [f"{held}+{key}" for held in ("alt", "ctrl+shift") for key in "abcdefghijklmnopqrstuvwxyz0123456789"]
    free = iter([*"bijoswxyABCEFGHIJKLMNOPQSTUVWXYZ0123456789!$%&()=_;:*#", *named])
    taken = {key for group in GROUPS.values() for key in keymap(group, {})}
    for action in {a.name: a for group in GROUPS.values() for a in group}:
        settings = bound(settings, action, [next(k for k in free if k not in taken)])
    save(settings, tmp_path / "settings.toml")
    assert load(tmp_path / "settings.toml").settings == settings
    check(settings)


def test_a_pedal_may_share_the_keys_of_next_and_back_and_no_others() -> None:
    assert wrong_pedal({}, "pagedown") is None
    assert wrong_pedal({}, "f9") is None
    assert wrong_pedal({}, "n") is not None
    with pytest.raises(KeyConflict, match="is the pedal's key"):
        bound(Settings(pedal=Pedal(key="f9")), "why", ["f9"])


# --- values -------------------------------------------------------------------


def test_a_guard_stands_where_there_is_a_pedal_unless_it_is_set_otherwise() -> None:
    assert Settings().guard == 0
    assert Settings(pedal=Pedal(key="pagedown")).guard == PEDAL_GUARD
    assert Settings(pedal=Pedal(key="pagedown"), guard_ms=0).guard == 0


def test_every_option_changes_both_ways_and_comes_back() -> None:
    wanted = plan(cable())
    start = Settings(pedal=Pedal(key="f9"))
    listed = [o for o in options(start, wanted) if isinstance(o, Option)]
    assert len(listed) > 40
    for at, option in enumerate(listed):
        if option.change is None:
            continue
        there = option.change(start, 1)
        again = option.change(there, -1)
        values = [[o for o in options(s, wanted) if isinstance(o, Option)][at].value for s in (start, there, again)]
        if option.value not in ("100%",):
            assert values[0] != values[1], option.name
        assert values[0] == values[2], option.name
        if option.reset is not None:
            assert option.reset(there).calls.tones() == start.calls.tones()


def test_values_stay_within_what_is_allowed_however_often_they_are_changed() -> None:
    settings = Settings(pedal=Pedal(key="f9"))
    for step in (1, -1):
        for option in options(settings, plan(cable())):
            if isinstance(option, Option) and option.change is not None:
                now = settings
                for _ in range(250):
                    now = option.change(now, step)
                assert checked(Settings, plain.written(now)) == now
