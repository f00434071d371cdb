"""Cabinets as geometry: convex bodies, their faces and edges, and where drivers sit."""

from acoustics.cabinet.body import Body, Edge, Face
from acoustics.cabinet.chamfer import EdgeCut, chamfered
from acoustics.cabinet.floor import mirrored_in_floor, mirrored_piston
from acoustics.cabinet.half_spaces import body_from_planes
from acoustics.cabinet.hull import body_from_corners
from acoustics.cabinet.inside import inner_depths, inner_volume, walled
from acoustics.cabinet.measures import face_areas, outer_volume
from acoustics.cabinet.names import BOX_EDGES, FRONT_EDGES, edge_named, face_named
from acoustics.cabinet.piston import Piston, edge_distances, face_of, on_face
from acoustics.cabinet.place import face_frame, place_on_face
from acoustics.cabinet.plates import outlined_plate, plate, thin_plate
from acoustics.cabinet.profile import FLAT, Profile, annulus, cone, dome
from acoustics.cabinet.pyramid import truncated_pyramid
from acoustics.cabinet.rounds import Round, RoundedBody, facets_needed, flat_parts, rounded
from acoustics.cabinet.shallow import refuse_shallow
from acoustics.cabinet.sloped import sloped_front

__all__ = [
    "BOX_EDGES",
    "FLAT",
    "FRONT_EDGES",
    "Body",
    "Edge",
    "EdgeCut",
    "Face",
    "Piston",
    "Profile",
    "Round",
    "RoundedBody",
    "annulus",
    "body_from_corners",
    "body_from_planes",
    "chamfered",
    "cone",
    "dome",
    "edge_distances",
    "edge_named",
    "face_areas",
    "face_frame",
    "face_named",
    "face_of",
    "facets_needed",
    "flat_parts",
    "inner_depths",
    "inner_volume",
    "mirrored_in_floor",
    "mirrored_piston",
    "on_face",
    "outer_volume",
    "outlined_plate",
    "place_on_face",
    "plate",
    "refuse_shallow",
    "rounded",
    "sloped_front",
    "thin_plate",
    "truncated_pyramid",
    "walled",
]
