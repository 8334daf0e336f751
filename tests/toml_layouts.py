"""TOML texts in every layout the language allows, with the line of each key known as it is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from hypothesis import strategies as st

Key = tuple[str | int, ...]


@dataclass
class Layout:
    """A text, and the line of each key, table and list element in it."""

    text: str = ""
    lines: dict[Key, int] = field(default_factory=dict)

    def here(self) -> int:
        return self.text.count("\n") + 1

    def mark(self, key: Key) -> None:
        self.lines.setdefault(key, self.here())


class Writer:
    """Writes tables as TOML; ``draw`` chooses how."""

    def __init__(self, draw: Callable[[st.SearchStrategy[Any]], Any]) -> None:
        self.draw = draw
        self.to = Layout()

    def write(self, text: str) -> None:
        self.to.text += text

    def one(self, *choices: Any) -> Any:
        return self.draw(st.sampled_from(choices))

    def blank(self, *, lines: bool) -> None:
        """Space, and line ends and comments where they may stand."""
        self.write(self.one("", "", " ", "\t", ' # [x] = "\n' if lines else " ", "\n\n" if lines else ""))

    def name(self, part: str) -> None:
        bare = part.isascii() and part.replace("-", "").replace("_", "").isalnum()
        quoted = '"' + "".join(c if c.isalnum() else f"\\u{ord(c):04x}" for c in part) + '"'
        self.write(self.one(*([part, part] if bare else []), *([f"'{part}'"] if "'" not in part else []), quoted))

    def dotted(self, parts: list[str]) -> None:
        for i, part in enumerate(parts):
            if i:
                self.write(self.one(".", " . ", ". "))
            self.name(part)

    def text(self, value: str) -> None:
        basic = value.replace("\\", "\\\\").replace('"', '\\"')
        ways = [f'"{basic}"'.replace("\n", "\\n"), f'"""\n{basic}"""', f'"""\\\n   {basic.lstrip()}"""']
        if "'" not in value:
            ways += [f"'''\n{value}'''", *([f"'{value}'"] if "\n" not in value else [])]
        self.write(self.one(*ways))

    def value(self, value: Any, key: Key, *, inline: bool = False) -> None:
        if isinstance(value, str):
            self.text(value)
        elif isinstance(value, list):
            self.write("[")
            for i, item in enumerate(value):
                self.blank(lines=True)
                self.to.mark((*key, i))
                self.value(item, (*key, i), inline=inline)
                self.blank(lines=True)
                if i < len(value) - 1 or self.one(True, False):
                    self.write(",")
            self.blank(lines=True)
            self.write("]")
        elif isinstance(value, dict):
            self.write("{")
            for i, (part, item) in enumerate(value.items()):
                self.write(", " if i else " ")
                self.pair(part, item, key, inline=True)
            self.write(" }")
        else:
            self.write("true" if value is True else "false" if value is False else str(value))

    def pair(self, part: str, value: Any, table: Key, *, inline: bool = False) -> None:
        key: Key = (*table, part)
        self.to.mark(key)
        parts = [part]
        while isinstance(value, dict) and len(value) == 1 and self.one(True, False):
            ((inner, value),) = value.items()
            parts.append(inner)
            key = (*key, inner)
            self.to.mark(key)
        self.dotted(parts)
        self.blank(lines=False)
        self.write("=")
        self.blank(lines=False)
        self.value(value, key, inline=inline)

    def table(self, data: dict[str, Any], key: Key = (), names: tuple[str, ...] = ()) -> None:
        """Pairs first, then what gets a header of its own."""
        later = []
        for part, value in data.items():
            headed = isinstance(value, dict) or (
                isinstance(value, list) and value and all(isinstance(v, dict) for v in value)
            )
            if headed and self.one(True, True, False):
                later.append((part, value))
                continue
            self.write(self.one("", "", '# title = "x"\n', "\n", "  "))
            self.pair(part, value, key)
            self.write(self.one("\n", "\n", " # a = 1\n"))
        for part, value in later:
            for i, inside in enumerate(value if isinstance(value, list) else [value]):
                self.to.mark((*key, part))
                if isinstance(value, list):
                    self.to.mark((*key, part, i))
                self.write("[[" if isinstance(value, list) else self.one("[", "[ "))
                self.dotted([*names, part])
                self.write("]]\n" if isinstance(value, list) else self.one("]\n", " ] # x\n"))
                self.table(inside, (*key, part, i) if isinstance(value, list) else (*key, part), (*names, part))


_NAMES = st.sampled_from(["a", "b-1", "5", "needles", "x.y", "", "q'", 'q"', "[x]", "#", "é", "a b"])
_SCALARS = st.one_of(
    st.integers(-9, 9), st.booleans(), st.sampled_from([1.5, -2e9]), st.text("a\"'\\\n#[]{}=, ", max_size=6)
)
_VALUES: st.SearchStrategy[Any] = st.recursive(
    _SCALARS, lambda v: st.lists(v, max_size=3) | st.dictionaries(_NAMES, v, max_size=3), max_leaves=8
)


@st.composite
def layouts(draw: st.DrawFn, data: st.SearchStrategy[dict[str, Any]] | None = None) -> Layout:
    """A valid text; of ``data`` if given, else of anything."""
    writer = Writer(draw)
    writer.table(draw(st.dictionaries(_NAMES, _VALUES, max_size=4) if data is None else data))
    return writer.to
