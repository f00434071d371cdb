"""Whoever does the work of a study: processes here or on a cluster."""
