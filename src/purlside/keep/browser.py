"""A page opened where the user reads pages."""

from __future__ import annotations

from pathlib import Path


def in_browser(path: str | Path) -> bool:
    """Open a file in the browser; whether one could be asked to."""
    import webbrowser

    try:
        return webbrowser.open(Path(path).resolve().as_uri())
    except (OSError, ValueError, webbrowser.Error):
        return False
