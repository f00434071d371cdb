"""A finished loudspeaker against its design: whether it is what was drawn, and if not, why."""
