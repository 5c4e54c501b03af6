"""What to stick when: plans for each want, the programme chosen among them, what stops the rest."""
