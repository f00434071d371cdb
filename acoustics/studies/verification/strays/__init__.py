"""What differs from one sound build to the next."""
