"""The field solver: geometry and receivers in, pressure per volume velocity out."""

from acoustics.field.estimate import largest_error
from acoustics.field.face import FaceField, face_field
from acoustics.field.impedance import radiation_impedance
from acoustics.field.places import OneByOne, Places, field_over_face
from acoustics.field.solve import solve_field

__all__ = [
    "FaceField",
    "OneByOne",
    "Places",
    "face_field",
    "field_over_face",
    "largest_error",
    "radiation_impedance",
    "solve_field",
]
