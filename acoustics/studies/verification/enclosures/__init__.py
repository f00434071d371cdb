"""From impedances to tunings, losses and wrinkles of the enclosures."""
