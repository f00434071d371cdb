"""Passive branches in a prediction: what is known of circuits without parts, and the product."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.model import Branch, FrequencyGrid
from acoustics.case.design.network_model import Element
from acoustics.conventions import COORDINATES, DRIVE_VOLTAGE, VARIABLES
from acoustics.prediction import predict
from acoustics.storage import open_prediction, save
from support.boxes import FS, boxed, parameters
from support.cases import make_case, make_driver, pass_branch
from support.free_field import solve_free_field

QUICK = {"frequencies": FrequencyGrid(20.0, 20_000.0, 3), "arc_step": 10.0, "accuracy": 1.0}
COIL = (Element("series", inductor=1e-3, resistance=0.4),)
CAPACITOR = (Element("series", capacitor=8e-6),)


def predicted(case):
    return predict(replace(case, **QUICK), solve=solve_free_field)


@pytest.fixture(scope="module")
def two_way():
    """A woofer in a box, and a tweeter of 8 ohm whose branch and terminals are turned round."""
    case = boxed(parameters(FS, 0.4), 2.0, leakage_q=7.0)
    woofer = replace(case.drivers[0], name="woofer")
    tweeter = make_driver("tweeter", 0.1, rated_impedance=8.0, inverted=True)
    box = replace(case.enclosures[0], drivers=("woofer",))
    return replace(
        case,
        drivers=(woofer, tweeter),
        enclosures=(box,),
        amplifier=Amplifier(power=50.0, lowest_impedance=4.0, resistance=0.2),
        crossover=(
            Branch("woofer", slopes="passive", elements=COIL),
            Branch("tweeter", slopes="passive", elements=CAPACITOR, inverted=True),
        ),
    )


@pytest.fixture(scope="module")
def prediction(two_way):
    return predicted(two_way)


def test_straight_on_the_amplifier_is_as_without_a_crossover():
    """One driver without parts: the amplifier's resistance divides the voltage either way."""
    case = boxed(parameters(FS, 0.4), 2.0, leakage_q=7.0)
    case = replace(case, amplifier=Amplifier(resistance=0.8))
    plain = predicted(case)
    passive = predicted(replace(case, crossover=(Branch("driver", slopes="passive"),)))
    np.testing.assert_allclose(passive.arc_total.values, plain.arc_total.values, rtol=1e-9)
    np.testing.assert_allclose(passive.input_impedance, plain.impedance[0], rtol=1e-9)
    assert np.abs(passive["filter"] - plain["filter"]).max() > 0.05


@pytest.mark.parametrize("turned", [False, True])
def test_two_in_one_box_behind_one_resistance_are_each_behind_twice_of_it(turned):
    """Equal drivers draw equal currents, so each feels the resistance as twice its own; also where
    both driver and branch are turned round."""
    one = boxed(parameters(FS, 0.4), 2.0, leakage_q=7.0)
    box = replace(one.enclosures[0], drivers=("driver", "second"))
    second = replace(one.drivers[0], name="second", position=(0.0, -0.1), inverted=turned)
    drivers = (one.drivers[0], second)
    case = replace(one, drivers=drivers, enclosures=(box,))
    passive, active = (
        tuple(
            Branch(name, slopes=slopes, inverted=turned and name == "second")
            for name in ("driver", "second")
        )
        for slopes in ("passive", "electrical")
    )
    single = predicted(replace(case, crossover=active, amplifier=Amplifier(resistance=2.0)))
    shared = predicted(replace(case, crossover=passive, amplifier=Amplifier(resistance=1.0)))
    np.testing.assert_allclose(shared.arc_total.values, single.arc_total.values, rtol=1e-9)


def test_the_filter_is_the_voltage_at_the_terminals(prediction):
    """Written out: a coil before the woofer beside a capacitor before 8 ohm, behind 0.2 ohm."""
    s = 2j * np.pi * prediction.frequency.values
    woofer = prediction.impedance.sel(driver="woofer").values
    ways = [0.4 + s * 1e-3 + woofer, 1 / (s * 8e-6) + 8.0]
    seen = 1 / (1 / ways[0] + 1 / ways[1])
    np.testing.assert_allclose(prediction.input_impedance, seen, rtol=1e-9)
    terminals = seen / (seen + 0.2)
    filters = prediction["filter"]
    np.testing.assert_allclose(
        filters.sel(driver="woofer"), terminals * woofer / ways[0], rtol=1e-9
    )
    # The crossover's polarity is the filter's, the driver's own is the source's.
    np.testing.assert_allclose(filters.sel(driver="tweeter"), -terminals * 8 / ways[1], rtol=1e-9)
    current = prediction.driver_current.sel(driver="tweeter")
    np.testing.assert_allclose(current, -terminals / ways[1], rtol=1e-9)


def test_the_product_still_is_filter_times_source_times_field(prediction):
    product = prediction["filter"] * prediction.source * prediction.arc_field * DRIVE_VOLTAGE
    expected = prediction.arc_pressure.transpose(*product.dims)
    np.testing.assert_allclose(product.values, expected.values, rtol=1e-12)


def test_parts_are_listed_with_what_they_carry(prediction, two_way, tmp_path):
    assert prediction.part.values.tolist() == ["L1", "C1"]
    assert prediction.part_kind.values.tolist() == ["inductor", "capacitor"]
    assert prediction.part_driver.values.tolist() == ["woofer", "tweeter"]
    assert prediction.part_value.values.tolist() == [1e-3, 8e-6]
    assert prediction.attrs["lowest_impedance"] == 4.0
    for name in ("input_impedance", "driver_current", "part_voltage", "part_current", "part_kind"):
        meaning = {**VARIABLES, **COORDINATES}[name]
        assert prediction[name].dims == meaning.dims
        assert prediction[name].attrs["units"] == meaning.units
    save(prediction, tmp_path / "prediction.nc")
    xr.testing.assert_identical(open_prediction(tmp_path / "prediction.nc"), prediction)
    bare = tuple(replace(branch, elements=()) for branch in two_way.crossover)
    without = predicted(replace(two_way, crossover=bare))
    assert without.part.size == 0
    save(without, tmp_path / "bare.nc")
    assert open_prediction(tmp_path / "bare.nc").part.size == 0


def test_an_active_driver_beside_passive_ones(two_way):
    """It has an amplifier of its own, and the others do not know of it."""
    high = pass_branch("tweeter", "high-pass", 2500.0)
    mixed = predicted(replace(two_way, crossover=(two_way.crossover[0], high)))
    plain = predicted(replace(two_way, crossover=(high,)))
    active = {"driver": "tweeter"}
    np.testing.assert_array_equal(mixed["filter"].sel(active), plain["filter"].sel(active))
    assert mixed.driver_current.sel(active).isnull().all()
    np.testing.assert_array_equal(mixed.part_driver, ["woofer"])


def test_without_passive_branches_there_is_nothing_of_it():
    prediction = predicted(make_case())
    assert not {"input_impedance", "part", "driver_current"} & set(prediction.variables)
    assert "lowest_impedance" not in prediction.attrs
