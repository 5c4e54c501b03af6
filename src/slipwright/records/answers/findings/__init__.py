"""What the records of a garden show, kept with what was learned, and its own rules."""
