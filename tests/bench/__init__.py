"""How fast Purlside is, as ratios to the least a Textual program could do, in one run: ``python -m tests.bench``."""
