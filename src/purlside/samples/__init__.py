"""The sample plans that come with the program, and copying one to where it can be changed."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def names() -> list[str]:
    """The samples' file names, by name."""
    return sorted(entry.name for entry in files(__name__).iterdir() if entry.name.endswith(".toml"))


def text(name: str) -> str:
    """One sample as it is written. Raises OSError."""
    return (files(__name__) / name).read_text("utf-8")


def copy_to(folder: Path, name: str) -> Path:
    """Copy a sample into a folder, made if it is not there, under a name that is free. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    stem = name.removesuffix(".toml")
    for number in range(1, 1000):
        path = folder / (name if number == 1 else f"{stem}-{number}.toml")
        try:
            with path.open("x", encoding="utf-8", newline="\n") as stream:
                stream.write(text(name))
        except FileExistsError:
            continue
        return path
    raise FileExistsError(f"{folder} has this sample a thousand times")
