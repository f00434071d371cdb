"""A design space computed point by point, kept, and gone on with after a break."""
