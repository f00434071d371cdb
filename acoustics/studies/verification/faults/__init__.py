"""Faults of a build, one to a file; each is a small change of what stands on the bench."""
