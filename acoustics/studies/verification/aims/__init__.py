"""Aims and brief, judged by readings."""
