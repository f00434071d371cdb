"""Readings against what a build would read, weighed by how far both may be trusted."""
