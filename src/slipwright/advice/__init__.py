"""Answers put together from the handbook, the sums and the two clocks of rooting."""
