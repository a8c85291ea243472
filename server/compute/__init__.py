"""Step 4 of 6: what the figures are. Pure functions over plain values: the standard library only,
no clock, no randomness, no files. `now` is always an argument."""
