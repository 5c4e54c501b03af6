"""Outputs: plain data in, bytes out. Labels, stick sheets, calendar feeds, tables."""
