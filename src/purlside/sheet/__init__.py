"""The hand-out: one value of sections, and the ways to write it out."""
