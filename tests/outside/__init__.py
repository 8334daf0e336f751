"""Checks against what stands outside: published values, common practice, other people's algorithms."""
