"""What a fault is, and what the small files of `faults` are made of."""
