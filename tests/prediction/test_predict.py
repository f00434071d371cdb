"""prediction = filter × source × field, with a field known in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.cabinet import Body, Piston
from acoustics.case.design.model import FrequencyGrid, Surface
from acoustics.conventions import COORDINATES, DRIVE_VOLTAGE, VARIABLES
from acoustics.crossover import branch_response, branches_of
from acoustics.prediction import predict
from acoustics.source import drive_of
from support.cases import seat_at

ERRORS = {name for name in VARIABLES if name.endswith("_error")}
"""there if the solver estimates its error"""


@pytest.fixture(scope="module")
def case(make_case):
    return make_case(surfaces=(Surface("floor", 0.0, 0.7),))


SOURCE_HALF = ("volume_velocity", "impedance", "input_limit")
"""Only where parameters are known."""

PROCESSED = {"needed_filter", "taps", "amplifier_filter"}
MEASURED = {
    "source_measured",
    "source_extrapolated",
    "source_uncertainty",
    "source_mismatch",
    "microphone_field",
}
PASSIVE = ("input_impedance", "driver_current", "part_voltage", "part_current")
"""Only with a passive crossover."""


@pytest.fixture(scope="module")
def prediction(case, solve_free_field):
    return predict(case, solve=solve_free_field)


def monopole(case, index, point):
    """Pressure of one driver as a point source, written out by hand."""
    driver = case.drivers[index]
    frequency = case.frequencies.values()
    distance = np.linalg.norm(np.asarray(point) - (*driver.position, 0.0))
    omega = 2 * np.pi * frequency
    field = 1j * omega * 1.2 / (4 * np.pi * distance) * np.exp(-1j * omega * distance / 343.0)
    source = drive_of(case, frequency).source[index]
    return branch_response(branches_of(case)[index], frequency) * source * field * DRIVE_VOLTAGE


def test_every_variable_of_the_table_is_there_and_says_what_it_is(prediction):
    missing = {
        "target",
        "impedance_extrapolated",
        *PROCESSED,
        *ERRORS,
        *SOURCE_HALF,
        *PASSIVE,
        *MEASURED,
    }
    assert set(prediction.data_vars) == set(VARIABLES) - missing
    for name, variable in prediction.variables.items():
        meaning = {**VARIABLES, **COORDINATES}[name]
        assert variable.dims == meaning.dims
        assert variable.attrs["long_name"] == meaning.long_name
        assert variable.attrs.get("units", "") == meaning.units
    real = {name for name in prediction.data_vars if prediction[name].dtype == float}
    assert real == {"strength", "seat_position", "height_position", "aside_position"}


@pytest.mark.parametrize("angle", [-90.0, 0.0, 35.0, 180.0])
def test_arcs_turn_about_the_reference_point(case, prediction, angle):
    turn = np.deg2rad(angle)
    x, y = case.reference.point
    points = {
        "horizontal": (x + 2.0 * np.sin(turn), y, 2.0 * np.cos(turn)),
        "vertical": (x, y + 2.0 * np.sin(turn), 2.0 * np.cos(turn)),
    }
    for plane, point in points.items():
        for index, driver in enumerate(("woofer", "tweeter")):
            found = prediction.arc_pressure.sel(driver=driver, plane=plane, angle=angle)
            assert found.values == pytest.approx(monopole(case, index, point), rel=1e-6)


def test_the_floor_adds_the_image_of_the_seat_times_its_reflection(case, prediction):
    level = -0.38 / 2 - 0.6  # the floor's y
    for height in (0.9, 1.1):
        direct = monopole(case, 0, (0.0, level + height, 2.5))
        image = 0.7 * monopole(case, 0, (0.0, level - height, 2.5))
        found = prediction.seat_pressure.sel(driver="woofer", ear_height=height).squeeze()
        assert found.sel(path="direct").values == pytest.approx(direct, rel=1e-6)
        assert found.sel(path="floor").values == pytest.approx(image, rel=1e-6)
    total = prediction.seat_total
    np.testing.assert_allclose(
        total.sel(surroundings="with reflections") - total.sel(surroundings="free space"),
        prediction.seat_pressure.sel(path="floor").sum("driver"),
        rtol=1e-9,
        atol=1e-12,
    )


def test_the_lines_over_height_and_sideways_pass_the_ears(prediction):
    np.testing.assert_allclose(
        prediction.height_total.sel(height=0.9, method="nearest"),
        prediction.seat_total.sel(surroundings="free space", ear_height=0.9),
        rtol=1e-6,
    )
    # the ears nearest the tweeter's height, 0.89 m
    assert prediction.attrs["aside_ear_height"] == 0.9
    np.testing.assert_allclose(
        prediction.aside_total.sel(aside=0.0),
        prediction.seat_total.sel(surroundings="free space", ear_height=0.9),
        rtol=1e-6,
    )


@pytest.mark.parametrize(
    ("ears", "low", "high"), [((1.0,), 0.3, 2.0), ((0.4, 1.9), 0.1, 2.2), ((0.2,), 0.0, 2.0)]
)
def test_heights_reach_beyond_the_ears_but_not_under_the_floor(
    make_case, solve_free_field, ears, low, high
):
    heights = predict(make_case(seat=seat_at(2.5, ears)), solve=solve_free_field).height.values
    assert heights[[0, -1]] == pytest.approx([low, high])
    assert np.diff(heights) == pytest.approx(np.full(heights.size - 1, 0.05))


def test_without_surfaces_there_is_only_the_direct_path(make_case, solve_free_field):
    prediction = predict(make_case(surfaces=()), solve=solve_free_field)
    assert list(prediction.path.values) == ["direct"]
    total = prediction.seat_total
    assert (
        total.sel(surroundings="with reflections") == total.sel(surroundings="free space")
    ).all()


@pytest.mark.parametrize(("step", "first", "count"), [(5.0, -175.0, 72), (8.0, -176.0, 45)])
def test_the_circle_is_closed_and_holds_the_axis(make_case, solve_free_field, step, first, count):
    angles = predict(make_case(arc_step=step), solve=solve_free_field).angle.values
    assert angles[0] == first
    assert angles.size == count
    assert 0.0 in angles
    assert 360 - (angles[-1] - angles[0]) == pytest.approx(step)


def test_the_solver_is_called_once_with_every_receiver_once(make_case, solve_free_field):
    calls = []

    def spy(body, pistons, receivers, frequency, **settings):
        calls.append((body, pistons, receivers, settings))
        field = solve_free_field(body, pistons, receivers, frequency, **settings)
        return field.assign_coords(error_estimate=(field.dims, np.full(field.shape, 0.02)))

    case = make_case(accuracy=0.03)
    prediction = predict(case, solve=spy, progress=print)
    ((body, pistons, receivers, settings),) = calls
    assert len(np.unique(np.round(receivers, 8), axis=0)) == len(receivers)
    # Left is heard on the right, as the drivers are in the middle. Two arcs share the axis and its
    # back; the ears' images are apart from the line over height, which meets the one sideways.
    sideways = (prediction.aside.size - 1) // 2
    assert len(receivers) == 72 + 35 + 2 + prediction.height.size + sideways
    assert receivers[:, 0].min() == 0
    assert settings == {
        "air": case.air,
        "accuracy": 0.03,
        "memory": case.memory,
        "progress": print,
    }
    assert body.points[:, 2].min() == pytest.approx(-0.30)
    assert [piston.radius for piston in pistons] == [0.0125, 0.0125]
    assert prediction.error_estimate.dims == ("frequency",)
    assert prediction.error_estimate.attrs["units"] == "dB"


def test_attributes_name_the_crossovers_and_the_design(case, prediction):
    assert prediction.attrs["crossover_frequencies"] == pytest.approx([2500.0], rel=1e-6)
    assert prediction.attrs["crossover_pairs"] == "woofer to tweeter"
    assert prediction.attrs["case_digest"] == case.digest
    assert "exp(+jwt)" in prediction.attrs["conventions"]
    assert prediction.driver_y.values == pytest.approx([-0.05, 0.10])


def test_the_field_solver_is_the_default(make_case):
    from acoustics.field import solve_field

    case = make_case(frequencies=FrequencyGrid(500.0, 1000.0, 1), arc_step=90.0)
    prediction = predict(case)
    field = solve_field(
        Body.box(width=0.22, height=0.38, depth=0.30),
        [Piston(radius=0.0125, centre=(0.0, 0.10, 0.0))],
        np.array([[0.0, 0.10, 2.0]]),
        np.array([500.0, 1000.0]),
        air=case.air,
        accuracy=0.1,
    )
    found = prediction.arc_field.sel(driver="tweeter", plane="vertical", angle=0.0)
    # The solver's grids depend on all receivers asked for: equal within the accuracy, 0.1 dB.
    np.testing.assert_allclose(found, field.values[0, :, 0], rtol=0.012)
    assert np.isfinite(prediction.error_estimate).all()
