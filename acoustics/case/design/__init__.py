"""The frozen objects that a case becomes, in SI units."""
