"""Cabinets as geometry: convex bodies, their faces and edges, and where drivers sit."""

from acoustics.cabinet.body import Body, Edge, Face
from acoustics.cabinet.piston import Piston, edge_distances, face_of

__all__ = ["Body", "Edge", "Face", "Piston", "edge_distances", "face_of"]
