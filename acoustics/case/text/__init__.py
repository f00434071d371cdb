"""Text in and out: units, lines of a file, how values and names are shown."""
