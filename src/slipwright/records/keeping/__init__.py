"""Keeping the records whole: schema, selfcheck, backup and restore."""
