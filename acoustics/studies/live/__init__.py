"""A design that somebody is changing, heard as fast as the hand moves."""
