"""The real program in a real pseudo-terminal."""
