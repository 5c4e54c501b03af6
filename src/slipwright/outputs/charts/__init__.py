"""Charts of pages: numbers as lines, bands and dots, told in words to those who do not see them."""
