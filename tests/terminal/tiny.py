"""A tiny program of the kind the harness is for: counts keys, shows its size."""

from __future__ import annotations

from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Resize
from textual.widgets import Static


class Tiny(App[int]):
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "count(1)"),
        Binding("backspace", "count(-1)"),
        Binding("pagedown,f1,f5", "count(10)"),
        Binding("x", "leave"),
    ]
    counted = 0

    def compose(self) -> ComposeResult:
        yield Static("counted 0 →", id="count", markup=False)
        yield Static("", id="size", markup=False)

    def on_resize(self, event: Resize) -> None:
        self.query_one("#size", Static).update(f"{event.size.width} by {event.size.height}")

    def action_count(self, number: int) -> None:
        self.counted += number
        self.query_one("#count", Static).update(f"counted {self.counted} →")

    def action_leave(self) -> None:
        self.exit(return_code=3)


if __name__ == "__main__":
    app = Tiny()
    app.run()
    raise SystemExit(app.return_code)
