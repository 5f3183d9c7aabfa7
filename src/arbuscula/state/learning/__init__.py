"""Learning: one file per quantity that evidence teaches."""
