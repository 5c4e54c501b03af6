"""Forecasts as they were made, held against what came."""
