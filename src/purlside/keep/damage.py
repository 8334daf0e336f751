"""What is damaged is read as far as it can be, said, and set aside: nothing is written over it."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path
from typing import Any

from purlside.files.whole import read_whole

MOST_BYTES = 2_000_000
"""The largest file of ours that is read whole."""


def set_aside(path: Path) -> str:
    """Give a damaged file another name, so that nothing is written over it; what to say of it."""
    names = (path.with_name(f"{path.name}.damaged{n}") for n in ("", *(f"-{n}" for n in range(2, 1000))))
    aside = next((one for one in names if not os.path.lexists(one)), path)
    try:
        os.rename(path, aside)
    except OSError as error:
        return f"{path} is damaged ({error.strerror or error})"
    return f"{path.name} is damaged: it is kept as {aside}"


def read_toml(path: Path) -> tuple[dict[str, Any], str]:
    """What a TOML file says, up to where it is damaged, and how it is; empty where it is not, or is not there."""
    import tomllib

    try:
        raw = read_whole(path, MOST_BYTES)
    except FileNotFoundError:
        return {}, ""
    except OSError as error:
        return {}, f"it cannot be read ({error.strerror or error})"
    try:
        text = raw[:MOST_BYTES].decode()
        said = ""
    except UnicodeDecodeError as error:
        text = raw[: error.start].decode()
        said = f"it is damaged from line {text.count(chr(10)) + 1} on"
    lines = text.split("\n")
    while lines:
        # A list that was cut is closed.
        for closed in ("", "]"):
            try:
                data = tomllib.loads("\n".join((*lines, closed)))
            except RecursionError:
                lines = lines[:1]
            except ValueError as error:
                found = re.search(r"at line (\d+)", str(error))
                wrong = min(int(found[1]) if found else len(lines), len(lines))
            else:
                return data, said or (f"it is damaged from line {len(lines)} on" if closed else "")
        said = f"it is damaged from line {wrong} on"
        del lines[max(0, wrong - 1) :]
    return {}, said


def read_json(raw: bytes) -> tuple[Any, bool]:
    """What a JSON text says, up to where it was cut, and whether it was.

    Raises ValueError, RecursionError where nothing can be told.
    """
    text = raw.decode("utf-8", "ignore")
    try:
        return json.loads(text), False
    except json.JSONDecodeError as error:
        from pydantic_core import from_json

        return from_json(text[: error.pos], allow_partial=True), True
