"""Drawings as SVG: what is held in the hand, and how to tell it from what is not."""
