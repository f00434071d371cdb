"""How low and how loud: a box study against closed forms and worked values; the search."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.brief_model import Brief
from acoustics.case.design.enclosure_model import Amplifier, port_part
from acoustics.conventions import DRIVE_VOLTAGE, RoundoverError
from acoustics.source.alignments import closed_f3
from acoustics.source.limits import LIMITS
from acoustics.storage import open_prediction, save
from acoustics.studies import box_study, find_box
from acoustics.studies.box.retuned import with_length
from acoustics.studies.box.search import Judged, cost_of, figure_of
from acoustics.studies.box.variables import BOX
from support.boxes import AIR, AREA, FS, VAS, boxed, parameters, vented, with_enclosure

B4 = 1 / math.sqrt(4 + 2 * math.sqrt(2))


def with_driver(case, **changes):
    return replace(case, drivers=(replace(case.drivers[0], **changes), *case.drivers[1:]))


@pytest.fixture(scope="module")
def closed():
    """Q_TS 0.35 and α 3.0816: Q_TC is 1/√2, so f₃ = f_C (Small 1972)."""
    alpha = (1 / math.sqrt(2) / 0.35) ** 2 - 1
    return with_driver(boxed(parameters(FS, 0.35), alpha), most_displacement=0.005)


@pytest.fixture(scope="module")
def butterworth():
    """B4: f₃ = f_S = f_B (Thiele 1971)."""
    return vented(parameters(FS, B4), math.sqrt(2), 1.0)


@pytest.fixture(scope="module")
def closed_study(closed):
    return box_study(closed, load=False)


@pytest.fixture(scope="module")
def vented_study(butterworth):
    return box_study(butterworth, load=False)


def test_reach_of_a_closed_box(closed_study):
    box = closed_study.isel(enclosure=0)
    fc = FS / math.sqrt(2) / 0.35
    assert float(box.tuning) == pytest.approx(fc, rel=1e-6)
    assert float(box.system_q) == pytest.approx(1 / math.sqrt(2), rel=1e-6)
    assert float(box.f3) == pytest.approx(fc * closed_f3(1 / math.sqrt(2)), rel=1e-3)
    # Butterworth of second order: x⁴ = 1/(10^(d/10) − 1).
    assert float(box.f6) == pytest.approx(fc * (10**0.6 - 1) ** -0.25, rel=1e-3)
    assert float(box.f10) == pytest.approx(fc / math.sqrt(3), rel=1e-3)
    assert float(box.peak) == pytest.approx(0.0, abs=0.01)


def test_reach_of_a_vented_box(vented_study):
    box = vented_study.isel(enclosure=0)
    assert float(box.tuning) == pytest.approx(FS, rel=1e-6)
    assert float(box.f3) == pytest.approx(FS, rel=1e-3)
    assert float(box.f10) == pytest.approx(FS / 9**0.125, rel=1e-3)  # |G|⁻² = 1 + x⁻⁸
    assert math.isnan(float(box.system_q))


def test_reference_level_is_the_drivers_sensitivity(closed, closed_study):
    signal = closed.drivers[0].small_signal
    assert float(closed_study.reference_level[0]) == pytest.approx(
        signal.sensitivity(AIR), abs=1e-9
    )
    resisted = box_study(replace(closed, amplifier=Amplifier(resistance=6.0)), load=False)
    # Twice the resistance: half the current and half the damping.
    assert float(resisted.reference_level[0]) == pytest.approx(
        signal.sensitivity(AIR) - 20 * math.log10(2), abs=1e-9
    )


# Peak volume displacement for a level at 1 m in half space, p = ρω²V/(2πr) with ρ = 1.2 kg/m³
# (simple source): dB, Hz, cm³.
@pytest.mark.parametrize(
    ("level", "frequency", "moved"), [(100, 30, 416.813109), (96, 40, 147.932602)]
)
def test_level_that_a_displacement_allows(closed, level, frequency, moved):
    case = with_driver(closed, most_displacement=moved * 1e-6 / AREA)
    limit = box_study(case, load=False).level_limit.sel(limit="displacement").isel(enclosure=0)
    near = limit.sel(frequency=frequency, method="nearest")
    there = float(near) - 40 * math.log10(float(near.frequency) / frequency)
    assert there == pytest.approx(level, abs=1e-4)


def test_displacement_of_a_closed_box(closed, closed_study):
    """x = V·Bl/R_E·C/(1+α) · 1/(1 − y² + jy/Q), y = f/f_C: a mass on a spring."""
    signal = closed.drivers[0].small_signal
    fc, q = FS / math.sqrt(2) / 0.35, 1 / math.sqrt(2)
    y = closed_study.frequency.values / fc
    force = math.sqrt(2) * DRIVE_VOLTAGE * signal.force_factor / signal.dc_resistance
    static = force * signal.compliance / (q / 0.35) ** 2
    expected = static / np.abs(1 - y**2 + 1j * y / q)
    assert closed_study.displacement.values[0] == pytest.approx(expected, rel=1e-9)
    limited = closed_study.displacement_at_limit.values[0]
    assert limited == pytest.approx(0.005, rel=1e-9)  # nothing else limits it


def test_air_speed_at_the_tuning_of_a_vented_box(butterworth, vented_study):
    """Without losses the cone stands still there: all of B4's −3.01 dB comes from the port."""
    at = vented_study.sel(frequency=FS)
    level = butterworth.drivers[0].small_signal.sensitivity(AIR) - 10 * math.log10(2)
    pressure = 20e-6 * 10 ** (level / 20)
    flow = pressure / (AIR.density * FS)  # p = ρfU at 1 m in half space
    assert float(at.air_speed[1]) == pytest.approx(math.sqrt(2) * flow / 0.002, rel=1e-6)
    assert float(at.displacement[0]) < 1e-9
    assert np.isnan(float(at.air_speed[0]))
    assert np.isnan(float(at.displacement[1]))
    # 17 m/s in 20 cm² is what stops it there.
    most = float(at.level_limit.sel(limit="port speed")[0])
    assert most == pytest.approx(
        20 * math.log10(17 / math.sqrt(2) * 0.002 * AIR.density * FS / 20e-6), abs=1e-6
    )
    assert int(at.binding[0]) == LIMITS.index("port speed")


def test_group_delay_of_a_closed_box(closed_study):
    """Of s²/(s² + s/Q + 1): (1/Q)(1 + y²)/((1 − y²)² + y²/Q²)/ω_C."""
    fc, q = FS / math.sqrt(2) / 0.35, 1 / math.sqrt(2)
    y = closed_study.frequency.values / fc
    expected = (1 + y**2) / q / ((1 - y**2) ** 2 + (y / q) ** 2) / (2 * math.pi * fc)
    found = closed_study.group_delay.values[0]
    assert found[1:-1] == pytest.approx(expected[1:-1], rel=2e-3, abs=1e-6)


def test_limits_and_what_binds(closed):
    """Power of 32 W at 8 ohm is 16 V; an amplifier of 8 W into 8 ohm gives 8 V."""
    case = with_driver(closed, power=32.0, rated_impedance=8.0, most_displacement=None)
    alone = box_study(case, load=False)
    assert np.unique(alone.binding) == [LIMITS.index("power")]
    gain = (alone.highest_level - alone.response).values
    assert gain == pytest.approx(20 * math.log10(16 / 2.83), abs=1e-9)
    small = box_study(replace(case, amplifier=Amplifier(power=8.0, into=8.0)), load=False)
    assert np.unique(small.binding) == [LIMITS.index("amplifier")]
    nothing = box_study(with_driver(closed, most_displacement=None), load=False)
    assert np.unique(nothing.binding) == [-1]
    assert nothing.highest_level.isnull().all()


def test_two_drivers_in_twice_the_volume(closed, closed_study):
    """Twice the pressure, half the impedance, the same reach, displacement and limits."""
    first = closed.drivers[0]
    second = replace(first, name="second", position=(0.0, -0.15))
    box = closed.enclosures[0]
    both = replace(box, drivers=("driver", "second"), gross=2 * box.gross)
    case = replace(closed, drivers=(first, second), enclosures=(both,))
    pair = box_study(case, load=False)
    six = 20 * math.log10(2)
    assert pair.response.values == pytest.approx(closed_study.response.values + six, abs=1e-6)
    assert pair.impedance.values == pytest.approx(closed_study.impedance.values / 2, rel=1e-9)
    assert float(pair.f3[0]) == pytest.approx(float(closed_study.f3[0]), rel=1e-9)
    assert pair.displacement.values == pytest.approx(
        np.repeat(closed_study.displacement.values, 2, axis=0), rel=1e-9
    )
    assert pair.input_limit.values[0] == pytest.approx(closed_study.input_limit.values[0], rel=1e-9)
    # One of them the wrong way round: each pushes what the other pulls.
    against = replace(case, drivers=(first, replace(second, inverted=True)))
    silent = box_study(against, load=False)
    assert float((silent.response - pair.response).max()) < -200


def test_volumes_add_up(butterworth):
    box = butterworth.enclosures[0]
    taken = (("drivers", 0.0006), ("ports", 0.0005), ("braces", 0.0004))
    case = with_enclosure(butterworth, gross=box.gross + 0.0015, taken=taken)
    study = box_study(case, load=False).isel(enclosure=0)
    assert float(study.net_volume) == pytest.approx(box.gross)
    assert float(study.gross_volume) == pytest.approx(box.gross + 0.0015)
    assert study.taken_volume.to_pandas().to_dict() == pytest.approx(dict(taken))


def test_suggestions_take_the_present_port(butterworth):
    """The driver's classic alignment is the box it is in; its port comes out as long as it is."""
    found = box_study(butterworth, load=False).isel(suggestion=-1)
    port = butterworth.enclosures[0].ports[0]
    assert str(found.suggestion_name.values) == "B4"
    assert float(found.suggestion_volume) == pytest.approx(VAS / math.sqrt(2), rel=1e-6)
    assert float(found.suggestion_port_length) == pytest.approx(port.length, abs=1e-6)
    assert float(found.suggestion_port_diameter) == pytest.approx(port.size[0], rel=1e-9)


def test_a_closed_box_is_offered_a_port_large_enough(closed):
    """S = 0.8·f_B·V_D (Small 1973)."""
    found = box_study(closed, load=False).isel(suggestion=-1)
    area = 0.8 * float(found.suggestion_tuning) * 0.005 * AREA
    assert float(found.suggestion_port_diameter) == pytest.approx(2 * math.sqrt(area / math.pi))
    assert float(found.suggestion_port_length) > 0
    unknown = box_study(with_driver(closed, most_displacement=None), load=False)
    assert np.isnan(float(unknown.suggestion_port_length[-1]))


def test_a_slower_port_is_slow_enough(butterworth):
    case = with_driver(butterworth, most_displacement=0.005, power=60.0)
    study = box_study(case, load=False)
    fast = float(study.air_speed_at_limit[1].max())
    assert fast > 17
    diameter, length = float(study.slower_port_diameter[0]), float(study.slower_port_length[0])
    port = case.enclosures[0].ports[0]
    wider = with_enclosure(case, ports=(replace(port, size=(diameter,), length=length),))
    again = box_study(wider, load=False)
    assert float(again.tuning[0]) == pytest.approx(FS, rel=1e-6)
    assert float(again.air_speed_at_limit[1].max()) == pytest.approx(17.0, rel=1e-6)


def test_drivers_without_an_enclosure():
    """What is behind them is part of their parameters; tweeters are left out."""
    case = boxed(parameters(60.0, 0.7))
    study = box_study(case, load=False)
    assert study.enclosure.values.tolist() == ["driver"]
    assert study.enclosure_kind.values.tolist() == ["own chamber"]
    assert float(study.f3[0]) == pytest.approx(60.0 * closed_f3(0.7), rel=1e-3)
    assert study.sizes["suggestion"] == 0
    with pytest.raises(RoundoverError, match="no box to study; add a table"):
        box_study(boxed(parameters(900.0, 0.7)), load=False)


def test_everything_is_labelled_and_can_be_stored(vented_study, tmp_path):
    for name, variable in vented_study.variables.items():
        assert variable.dims == BOX[str(name)].dims
        assert variable.attrs["units"] == BOX[str(name)].units
        assert variable.attrs["long_name"]
    again = open_prediction(save(vented_study, tmp_path / "box.nc"))
    assert again.equals(vented_study)


def test_the_air_on_the_cabinet_comes_in(butterworth, vented_study):
    """It adds mass to the cone, so that the box plays a little lower, and is asked for."""
    study = box_study(butterworth)
    assert study.attrs["air_load"] == "of this cabinet"
    assert vented_study.attrs["air_load"] == "as measured"
    change = np.abs(study.response - vented_study.response).values
    assert 0.001 < change.max() < 1.5


def test_what_cannot_be_studied_is_refused(closed):
    bare = with_driver(closed, small_signal=None)
    with pytest.raises(RoundoverError, match=r"'driver' in enclosure 'box'.*small_signal"):
        box_study(bare, load=False)
    with pytest.raises(RoundoverError, match="no enclosure 'bass'; it has: box"):
        find_box(closed, "bass", "deep")
    with pytest.raises(RoundoverError, match="choose flat, deep or loud"):
        find_box(closed, "box", "high")
    with pytest.raises(RoundoverError, match="must be above 0"):
        find_box(closed, "box", "deep", most_volume=0.0)
    with pytest.raises(RoundoverError, match="most_displacement and power"):
        find_box(with_driver(closed, most_displacement=None), "box", "loud")
    with pytest.raises(RoundoverError, match="give a reach below that"):
        find_box(closed, "box", "flat", reach=300.0)


def test_the_deepest_closed_box():
    """f₆ over Q_TC in closed form, (Q/Q_TS)·f₆(Q)/f_C, at its least with at most 1 dB of peak.

    With Q_TS = 0.35 it falls with Q until the peak is 1 dB: Q²/√(Q² − ¼) = 10^(1/20).
    """
    case = boxed(parameters(FS, 0.35), 12.0)
    q = np.linspace(0.4, 2.0, 200_001)
    b = 1 / q**2 - 2
    quarter = 10**0.6
    x = np.sqrt((b + np.sqrt(b**2 + 4 * (quarter - 1))) / 2 / (quarter - 1))
    peak = np.where(q > 0.7072, q**2 / np.sqrt(np.maximum(q**2 - 0.25, 1e-9)), 1.0)
    f6 = np.where(20 * np.log10(peak) <= 1.0, FS * q / 0.35 * x, np.inf)
    best = int(f6.argmin())
    found = find_box(case, "box", "deep", most_volume=0.05)
    assert found.figure == pytest.approx(float(f6[best]), rel=2e-3)
    volume = VAS / ((q[best] / 0.35) ** 2 - 1)
    assert found.enclosure.volume == pytest.approx(volume, rel=0.05)  # the optimum is flat


@pytest.mark.parametrize("aim", ["flat", "deep", "loud"])
def test_the_search_beats_a_grid(butterworth, aim):
    case = with_driver(butterworth, most_displacement=0.005, power=60.0)
    case = with_enclosure(case, leakage_q=7.0)
    found = find_box(case, "box", aim, most_volume=0.025, reach=35.0)
    assert found.enclosure.volume <= 0.025 * (1 + 1e-9)
    frequency = 10.0 * 2 ** np.arange(0, math.log2(40.0), 1 / 48)
    judged = Judged(aim, 35.0)
    best = cost_of(case, found.enclosure, judged, frequency)
    assert found.figure == figure_of(case, found.enclosure, judged, frequency)
    port, box = case.enclosures[0].ports[0], case.enclosures[0]
    drawn = np.random.default_rng(7)
    trials = 80
    volumes = 0.025 * drawn.uniform(0.1, 1.0, trials)
    lengths = 0.5 * drawn.uniform(0.01, 1.0, trials) ** 2
    others = [
        cost_of(
            case,
            replace(box, gross=volume, ports=(replace(port, length=length),)),
            judged,
            frequency,
        )
        for volume, length in zip(volumes, lengths, strict=True)
    ]
    assert best <= min(others) + 1e-6
    assert np.isfinite(others).sum() > trials / 2
    # The same question has the same answer.
    assert find_box(case, "box", aim, most_volume=0.025, reach=35.0) == found


def test_a_driver_named_like_a_port_takes_the_same_whatever_the_ports_length(butterworth):
    box = butterworth.enclosures[0]
    port = box.ports[0]
    taken = ((port.name, 0.0005), (port_part(port.name), 0.0003))
    longer = with_length(butterworth, replace(box, taken=taken), 2 * port.length)
    assert dict(longer.taken)[port.name] == 0.0005
    assert dict(longer.taken)[port_part(port.name)] == pytest.approx(0.0006)


def test_a_box_stays_in_its_cabinet(butterworth):
    """Walls of 20 mm leave 180 × 340 × 260 mm; a longer port takes more of that."""
    port = butterworth.enclosures[0].ports[0]
    section = math.pi / 4 * (port.size[0] + 0.006) ** 2
    box = replace(
        butterworth.enclosures[0],
        gross=0.0145,
        leakage_q=7.0,
        taken=(("driver", 0.0005), (port_part(port.name), section * (port.length - 0.02))),
    )
    walls = replace(butterworth.cabinet, wall_thickness=0.02)
    case = replace(butterworth, cabinet=walls, enclosures=(box,))
    found = find_box(case, "box", "deep")
    longer = found.enclosure.ports[0].length
    assert longer > port.length
    assert found.enclosure.gross == pytest.approx(0.18 * 0.34 * 0.26, rel=2e-4)
    assert dict(found.enclosure.taken)[port_part(port.name)] == pytest.approx(
        section * (longer - 0.02)
    )
    assert found.enclosure.volume == pytest.approx(found.most_volume, rel=2e-4)
    # A volume that is asked for is not held to the cabinet.
    larger = find_box(case, "box", "deep", most_volume=0.03)
    assert larger.enclosure.volume > 0.02


def test_a_box_with_a_passive_radiator_is_tuned_by_its_mass():
    case = vented(parameters(FS, 0.4), 1.2, 0.7, q_leak=10.0, passive=True, passive_resonance=15.0)
    found = find_box(case, "box", "deep", most_volume=0.03)
    mass = found.enclosure.passive_radiators[0].moving_mass
    assert mass != case.enclosures[0].passive_radiators[0].moving_mass
    assert found.figure < found.present
    study = box_study(case, find="deep", most_volume=0.03, load=False)
    assert float(study.net_volume[0]) == pytest.approx(found.enclosure.volume)
    assert float(study.f6[0]) == pytest.approx(found.figure, rel=2e-3)
    assert float(study.present_f6[0]) == pytest.approx(found.present, rel=2e-3)


def test_the_briefs_reach_counts_where_none_is_given(closed):
    asked = replace(closed, brief=Brief(reach=55.0))
    assert find_box(asked, "box", "flat").reach == 55.0
    assert find_box(asked, "box", "flat", reach=60.0).reach == 60.0
    assert find_box(closed, "box", "flat").reach == pytest.approx(FS)


def test_no_box_is_deep_in_a_thimble(closed):
    with pytest.raises(RoundoverError, match=r"0\.001 litres.*allow more volume"):
        find_box(closed, "box", "deep", most_volume=1e-6)
