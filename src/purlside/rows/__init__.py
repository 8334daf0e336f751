"""A plan's rows: when what falls, and each row's moves, in the fewest carriage movements."""
