"""Curves and maps as bytes, read back by the protocol's words alone."""

from __future__ import annotations

import struct
from dataclasses import replace

import numpy as np
import pytest

from acoustics.page.frames import curves_frame, frame, map_frame
from acoustics.studies.live.under import MapUnder
from support.cases import make_case
from support.page_site import unpacked
from support.scripted_studio import draft_at, scripted_curves

CASE = make_case()


@pytest.fixture
def curves():
    return scripted_curves(CASE, draft_at(CASE, 0.1), "live")


def test_what_goes_in_comes_out(curves):
    read = unpacked(curves_frame(7, curves, ["ein Rahmen über der Kante"], 0.01234567))
    assert (read["say"], read["serial"], read["state"], read["took"]) == (
        "curves", 7, "live", 0.0123,
    )  # fmt: skip
    assert read["warnings"] == ["ein Rahmen über der Kante"]
    assert read["figures"] == {"ripple off axis": 1.25, "floor dip": None}
    assert list(read["arrays"]) == ["axis", "each", "window", "seat", "aside", "lobes"]
    for name, values in read["arrays"].items():
        np.testing.assert_array_equal(values, np.float32(getattr(curves, name)))


def test_equal_curves_are_equal_bytes(curves):
    again = replace(curves, axis=np.asfortranarray(curves.axis), each=curves.each[:, ::1].copy())
    assert curves_frame(1, curves, (), 0.0) == curves_frame(1, again, (), 0.0)


def test_the_bytes_are_those_of_the_protocol():
    # Unsigned 32-bit length and single-precision numbers (IEEE 754), low byte first, written out:
    # 1.0 is 0x3f800000, -2.0 is 0xc0000000.
    made = frame({"say": "x"}, {"a": np.array([1.0, -2.0])})
    header = b'{"say":"x","arrays":[["a",[2]]]}'
    assert made == bytes([len(header), 0, 0, 0]) + header + bytes.fromhex("0000803f000000c0")
    assert len(header) % 4 == 0


@pytest.mark.parametrize("pad", range(5))
def test_arrays_begin_at_multiples_of_four(pad):
    made = frame({"say": "x" * pad}, {"a": np.arange(3.0)})
    (length,) = struct.unpack_from("<I", made)
    assert length % 4 == 0
    assert len(made) == 4 + length + 12
    np.testing.assert_array_equal(unpacked(made)["arrays"]["a"], [0, 1, 2])


def test_a_map_keeps_where_the_driver_does_not_fit():
    values = np.array([[1.0, np.nan, 2.0], [3.0, 4.0, 5.0]])
    found = MapUnder(np.array([0.0, 0.1, 0.2]), np.array([0.0, 0.3]), values, (0.1, np.nan))
    read = unpacked(map_frame(3, "woofer", "seat_level", found))
    np.testing.assert_array_equal(read["arrays"]["values"], np.float32(values))
    assert (read["driver"], read["by"], read["best"]) == ("woofer", "seat_level", [0.1, None])
    assert "level in the band at the seat" in read["words"]
