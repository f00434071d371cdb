"""How low and how loud enclosures play, and which would suit the drivers."""
