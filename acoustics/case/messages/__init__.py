"""Faults with file, line and key, and the schema that editors read."""
