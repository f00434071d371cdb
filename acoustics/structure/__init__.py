"""What a cabinet does besides holding its drivers."""
