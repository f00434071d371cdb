"""What a driver does at every place of its face."""
