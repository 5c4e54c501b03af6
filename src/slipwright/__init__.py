"""Slipwright: for people who multiply plants from cuttings."""

__version__ = "0.1.0"
