"""The report of a season."""
