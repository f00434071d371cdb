"""What a cabinet does besides what its drivers do, and what to change before the saw."""
