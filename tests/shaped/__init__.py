"""Shaped plans by the hundred, knit on a bed that knows only the contract."""
