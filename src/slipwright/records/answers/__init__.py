"""A garden's own records put before the answers: the round, a forecast, labels, a sheet, the calendar.

Selectors read, ``slipwright.advice`` answers; commands and pages show. Each module is imported by
itself, since labels need no arithmetic and the round no paper.
"""
