"""The sums of the trade: pure functions, one topic a module."""
