"""The plan as it is really being knit."""
