"""From checked tables to the objects of the design."""
