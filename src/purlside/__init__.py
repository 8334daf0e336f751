"""Purlside: a companion that stays open beside a hand-operated single-bed knitting machine."""

__version__ = "0.1.0"
