"""The flat faces of a cabinet, which may carry drivers: by name, and by where they look."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from acoustics.cabinet import Body, face_frame, face_named
from acoustics.cabinet.names import DIRECTIONS, chamfer_name, face_looking, face_name
from acoustics.cabinet.place import FaceFrame
from acoustics.conventions import GeometryError

Direction = tuple[float, float, float]
"""(right, up, toward the listener), of any length."""


@dataclass(frozen=True)
class Faces:
    """The faces of a cabinet.

    `whole`: the body before edges are cut. `cut`: with its chamfers; its faces are those of the
    whole body, in its order, then the chamfers'. `flat`: what roundings leave flat of it; likewise
    its faces are followed by those in place of the roundings. `edges`: names of the edges that are
    chamfered, then of those that are rounded.
    """

    whole: Body
    cut: Body
    flat: Body
    edges: tuple[str, ...] = ()

    @cached_property
    def names(self) -> tuple[str, ...]:
        """What each face of the cut body is called."""
        count = len(self.whole.faces)
        chamfers = self.edges[: len(self.cut.faces) - count]
        whole = (face_name(self.whole, face) for face in range(count))
        return (*whole, *map(chamfer_name, chamfers))

    def index(self, name: str) -> int:
        """Index in the cut body of the face that is called so.

        Raises:
            GeometryError: none is, or two may be meant.
        """
        if name in DIRECTIONS:
            return face_named(self.whole, name)
        if name not in self.names:
            raise GeometryError(f"no face is called {name!r}; faces are {', '.join(self.names)}")
        return self.names.index(name)

    def frame(self, name: str) -> FaceFrame:
        """Coordinates in a face; its centre is that before edges are cut, or a chamfer's own.

        Raises:
            GeometryError: as `index`.
        """
        index = self.index(name)
        return face_frame(self.whole if index < len(self.whole.faces) else self.cut, index)

    def name(self, face: str | Direction) -> str:
        """Name of the face that is meant, by its name or by the direction in which it looks.

        Raises:
            GeometryError: no face looks that way, two nearly do, or a rounded edge does.
        """
        if isinstance(face, str):
            return face
        names = [*self.names]
        rounded = self.edges[len(names) - len(self.whole.faces) :]
        found = face_looking(self.flat, face, [*names, *(f"{edge} rounding" for edge in rounded)])
        if found >= len(names):
            raise GeometryError(
                f"the edge '{rounded[found - len(names)]}', which looks that way, is rounded and "
                "has no flat face; chamfer it, or measure such a driver and use its measured "
                "response"
            )
        return names[found]
