"""Where the cabinets and the seats stand, and what the surfaces around them send back."""
