"""The needle bed: needles, what is asked of each, moves, and one state that only moves change."""
