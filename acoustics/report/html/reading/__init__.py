"""What drawn figures of a report tell of their places, for whoever points at them."""
