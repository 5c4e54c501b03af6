"""The programme of a garden's season: what it is made from, what is told of it, and how it stands since."""
