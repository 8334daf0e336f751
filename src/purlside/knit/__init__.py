"""The plan as it is really being knit: what differs from it, what is called, why a card is as it is."""
