"""From faults and readings to what is the matter, and how likely."""
