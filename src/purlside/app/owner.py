"""What screens may ask of the app they stand on: the app itself knows the screens, they know only this."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from textual.app import App

from purlside.app.actions import Action
from purlside.app.typedahead import TypedAhead
from purlside.keep.session import Session
from purlside.keep.settings import Settings
from purlside.knitting.calling import Call
from purlside.sound.playing import Calls

if TYPE_CHECKING:
    from collections.abc import Mapping


class Owner(App[int]):
    """Settings, sound, the session in hand, and the ways to other screens."""

    settings: Settings
    session: Session | None
    calls: Calls
    typed_ahead: TypedAhead

    def change_look(self, **changes: Any) -> None:
        raise NotImplementedError

    def change_calls(self, **changes: Any) -> None:
        raise NotImplementedError

    def settle(self, settings: Settings) -> None:
        """Take settings and keep them for the next time."""
        raise NotImplementedError

    def sound(self, call: Call) -> None:
        raise NotImplementedError

    def sound_test(self) -> str:
        raise NotImplementedError

    def open_plan(self, path: Path) -> bool:
        """From the shelf to the bedside; False where there is nothing to knit from."""
        raise NotImplementedError

    def leave_bedside(self) -> None:
        raise NotImplementedError

    def open_settings(self) -> None:
        raise NotImplementedError

    def open_help(self, actions: Iterable[Action], keys: Mapping[str, Action]) -> None:
        raise NotImplementedError
