"""Words that all of it uses."""
