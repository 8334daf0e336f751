"""Will it cross, how big, how much, how long, with what."""
