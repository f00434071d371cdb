"""The field solver: receivers in, complex pressure per volume velocity out."""

from acoustics.field.solve import solve_field

__all__ = ["solve_field"]
