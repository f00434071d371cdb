"""Which cabinet a figure is about, where that matters."""

from __future__ import annotations

import xarray as xr

from acoustics.listening import Listener, listeners


def cabinet_of(one: Listener, prediction: xr.Dataset) -> str:
    """Which cabinet is heard; empty where all of them sound alike at that seat."""
    alike = sum(other.seat == one.seat for other in listeners(prediction)) == 1
    return "" if alike else f"{one.speaker} cabinet"


def whose(prediction: xr.Dataset) -> str:
    """The cabinet that `heard` lets hear at the main seat, where it matters: ", left cabinet"."""
    cabinet = cabinet_of(listeners(prediction)[0], prediction)
    return f", {cabinet}" if cabinet else ""
