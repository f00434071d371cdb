"""What a builder takes to the workshop, as plain data: faces, boards, and where braces stand."""

from acoustics.studies.drawings.board_drawings import board_drawings
from acoustics.studies.drawings.brace_drawings import brace_drawings
from acoustics.studies.drawings.face_drawings import face_drawings
from acoustics.studies.drawings.model import Cut, Drawing, Line, Ring
from acoustics.studies.drawings.names import plain, safe_name, safe_names

__all__ = [
    "Cut",
    "Drawing",
    "Line",
    "Ring",
    "board_drawings",
    "brace_drawings",
    "face_drawings",
    "plain",
    "safe_name",
    "safe_names",
]
