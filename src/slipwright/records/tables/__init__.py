"""The garden in and out as tables: ``loading.load`` and ``dumping.dump``."""
