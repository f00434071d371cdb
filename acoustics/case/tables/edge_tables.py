"""Edges as they are written in [cabinet]."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from acoustics.case.design.place_model import Treatment
from acoustics.case.text.units import in_unit


def edge_tables(edges: Treatment) -> dict[str, list[dict[str, Any]]]:
    """The lists `chamfers` and `rounds` of [cabinet], those alike in one table, lengths in mm."""
    return {"chamfers": _alike(edges.chamfers), "rounds": _alike(edges.rounds)}


def _alike(edges: Sequence[tuple[str, float | tuple[float, float]]]) -> list[dict[str, Any]]:
    alike = dict[float | tuple[float, float], list[str]]()
    for edge, size in edges:
        alike.setdefault(size, []).append(edge)
    tables = []
    for size, names in alike.items():
        table: dict[str, Any] = {"edges": names}
        if not isinstance(size, tuple):
            table["radius"] = in_unit(size, "mm")
        elif size[0] == size[1]:
            table["setback"] = in_unit(size[0], "mm")
        else:
            table["setbacks"] = [in_unit(each, "mm") for each in size]
        tables.append(table)
    return tables
