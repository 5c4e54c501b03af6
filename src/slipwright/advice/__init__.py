"""Answers put together from the handbook, the sums and the rooting clocks."""
