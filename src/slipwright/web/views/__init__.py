"""One module a page or a few that belong together; each view says whom it is open to."""
