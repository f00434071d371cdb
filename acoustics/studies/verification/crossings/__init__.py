"""Crossovers as readings show them."""
