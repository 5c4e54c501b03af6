"""Trials from their plan to their verdict."""
