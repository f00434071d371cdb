"""The SOFA file, by others' readers: sofar knows AES69's conventions, netCDF4 the container."""

from __future__ import annotations

import netCDF4
import numpy as np
import pytest
import sofar

from acoustics.conventions import RoundoverError
from acoustics.measurement.sofa import read_sofa_curves
from acoustics.report.open_data import write_sofa
from support.written_data import HARMFUL, predicted_two_way


@pytest.fixture(scope="module")
def prediction():
    return predicted_two_way(HARMFUL, "Größe\n<b>Ω")[1]


@pytest.fixture(scope="module")
def file(prediction, tmp_path_factory):
    return write_sofa(prediction, tmp_path_factory.mktemp("sofa") / "directivity.sofa")


@pytest.fixture(scope="module")
def read(file):
    """The file as sofar reads it, which refuses what is not as the convention has it."""
    found = sofar.read_sofa(str(file), verbose=False)
    found.verify()
    return found


def test_an_independent_verifier_takes_it(read):
    assert read.GLOBAL_SOFAConventions == "FreeFieldDirectivityTF"
    assert read.GLOBAL_DataType == "TF"
    assert read.GLOBAL_Title == "Größe <b>Ω"
    assert "2.83 V" in read.GLOBAL_Comment
    said = ["all drivers", f"driver {HARMFUL}".replace("\n", " "), "driver tweeter"]
    assert list(read.Description) == said


def test_a_verifier_would_tell(file):
    # The check above can fail: sofar takes no file that lacks what the convention asks for.
    found = sofar.read_sofa(str(file), verbose=False)
    found.ReceiverPosition_Units = "degree"
    with pytest.raises(ValueError, match="ReceiverPosition"):
        found.verify()


def test_nobody_is_named(read):
    for name in ("AuthorContact", "Organization", "SourceManufacturer", "DatabaseName"):
        assert getattr(read, f"GLOBAL_{name}") == "none stated"
    assert read.GLOBAL_DateCreated == read.GLOBAL_DateModified == "1970-01-01 00:00:00"


def test_pressures_stand_at_their_directions(prediction, read):
    # AES69: azimuth from x (ahead) toward y (the source's left, a listener's right), then up.
    places = read.ReceiverPosition
    assert len(np.unique(places, axis=0)) == len(places) == 36 + 34
    pressure = read.Data_Real + 1j * read.Data_Imag
    for place, plane, angle in (
        ((0, 0), "horizontal", 0),
        ((0, 0), "vertical", 0),
        ((30, 0), "horizontal", 30),
        ((330, 0), "horizontal", -30),
        ((180, 0), "vertical", 180),
        ((0, 40), "vertical", 40),
        ((0, -90), "vertical", -90),
        ((180, 60), "vertical", 120),
        ((180, -10), "vertical", -170),
    ):
        (row,) = np.flatnonzero(np.all(np.isclose(places, [*place, 2.0]), axis=1))
        here = prediction.sel(plane=plane, angle=angle)
        # Points that both arcs share are solved on one of them.
        np.testing.assert_allclose(pressure[0, row], here.arc_total.values, rtol=1e-9)
        np.testing.assert_allclose(pressure[1:, row], here.arc_pressure.values, rtol=1e-9)
    np.testing.assert_array_equal(read.N, prediction.frequency.values)


def test_a_plain_reader_finds_letters_and_doubles(file):
    with netCDF4.Dataset(file) as plain:
        assert plain.data_model == "NETCDF4"
        assert plain["Data.Real"].dimensions == ("M", "R", "N")
        assert plain["Data.Real"].dtype == np.float64
        assert plain["N"].Units == "hertz"
        assert plain.Conventions == "SOFA"


def test_our_own_reader_gives_the_prediction_back(prediction, file):
    curves = read_sofa_curves(file)
    assert len(curves) == 3 * 70
    positions = np.array([each.position for each in curves])
    arc = prediction.sel(plane="horizontal")
    turn = np.deg2rad(arc.angle.values)
    for angle, radians in zip(arc.angle.values, turn, strict=True):
        # Right, up and toward the listener, 2 m from the reference point.
        where = [2 * np.sin(radians), 0, 2 * np.cos(radians)]
        near = np.flatnonzero(np.abs(positions - where).max(axis=1) < 1e-9)
        found = [curves[number] for number in near]
        assert [each.measurement for each in found] == [0, 1, 2]
        here = arc.sel(angle=angle)
        expected = [here.arc_total.values, *here.arc_pressure.values]
        for each, values in zip(found, expected, strict=True):
            np.testing.assert_allclose(each.curve.values, values, rtol=1e-12)


def test_equal_predictions_give_equal_bytes(prediction, file):
    again = write_sofa(prediction.copy(deep=True), file.with_name("again.sofa"))
    assert again.read_bytes() == file.read_bytes()


def test_where_nothing_can_be_written_it_is_told(prediction, tmp_path):
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(RoundoverError, match="cannot be written"):
        write_sofa(prediction, tmp_path / "taken" / "directivity.sofa")
