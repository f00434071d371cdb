"""What must fit across tables: names, places, bands, openings, networks."""
