"""The records of a garden: models, services that write, selectors that read."""
