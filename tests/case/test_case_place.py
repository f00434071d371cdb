"""The table [place]: what it says, and what it may not ask of a case."""

from __future__ import annotations

import pytest
from bench_text import GOOD

from acoustics.case import read_case
from acoustics.case.checks.hand_overs import band_of, crossovers_of_pairs, pairs_of
from acoustics.case.design.place_model import Delayed, Moved, Place, Treatment
from acoustics.case.design.section_model import PassFilter
from acoustics.conventions import CaseError
from support.cases import CASES, shipped_text

ELECTRICAL = (
    GOOD.replace('    { type = "band-pass", alignment', '    # { type = "band-pass", alignment')
    + """
[crossover.woofer]
sections = [
    { type = "low-pass", alignment = "linkwitz-riley", order = 4, frequency = "2 kHz" },
]
"""
)

FULL = """
[place]
aim = "common ripple"
against = "floor dip"
gap = "10 mm"
apart = "160 mm"
ear_height = ["0.9 m", "1.0 m"]
band = ["500 Hz", "8 kHz"]
smoothing = 0
window = "60 deg"
seed = 9
corners = [["1.8 kHz", "2.8 kHz"]]

[place.drivers.tweeter]
right = ["-40 mm", "4 cm"]

[place.drivers.woofer]

[place.delays]
tweeter = ["0 us", "300 us"]

[[place.treatments]]
name = "sharp"

[[place.treatments]]
name = "rounded"
rounds = [{ radius = "15 mm" }]

[[place.treatments]]
name = "cut"
chamfers = [{ edges = ["front left", "front right"], setback = "1 in" }]
"""


def case_with(tmp_path, table, text=ELECTRICAL):
    path = tmp_path / "case.toml"
    path.write_text(text + table, encoding="utf-8")
    return read_case(path)


def faults_of(tmp_path, table, text=ELECTRICAL):
    with pytest.raises(CaseError) as error:
        case_with(tmp_path, f"\n{table}\n", text)
    return error.value.faults


def test_everything_comes_out_in_si_units(tmp_path):
    place = case_with(tmp_path, FULL).place
    assert (place.aim, place.against) == ("common ripple", "floor dip")
    assert (place.gap, place.apart, place.ear_height) == (0.01, 0.16, (0.9, 1.0))
    assert (place.band, place.smoothing) == ((500.0, 8000.0), None)
    assert (place.window, place.seed) == (60.0, 9)
    assert place.moved == (Moved("tweeter", (-0.04, 0.04), None), Moved("woofer"))
    assert place.corners == ((1800.0, 2800.0),)
    (delayed,) = place.delays
    assert (delayed.driver, delayed.span) == ("tweeter", pytest.approx((0.0, 300e-6)))
    assert isinstance(delayed, Delayed)
    sharp, rounded, cut = place.treatments
    assert sharp == Treatment("sharp")
    assert rounded.rounds == tuple(
        (f"front {side}", 0.015) for side in ("left", "right", "top", "bottom")
    )
    # 1 in = 25.4 mm exactly (1959 agreement).
    assert cut.chamfers == (("front left", (0.0254,) * 2), ("front right", (0.0254,) * 2))


def test_what_is_not_said_is_the_usual(tmp_path):
    assert case_with(tmp_path, "\n[place]\n").place == Place()
    assert case_with(tmp_path, "").place is None
    assert case_with(tmp_path, '\n[place]\nagainst = "none"\n').place.against is None
    assert case_with(tmp_path, '\n[place]\naim = "sides"\n').place.against == "ripple off axis"


def test_a_worked_design_moves_its_tweeter():
    place = read_case(CASES / "compact-offset").place
    assert place == Place(moved=(Moved("tweeter"),), gap=0.008)


def test_no_prediction_rests_on_it(tmp_path):
    assert case_with(tmp_path, FULL).digest == case_with(tmp_path, "").digest


def test_a_driver_that_moves_on_one_line_only(tmp_path):
    place = case_with(tmp_path, '\n[place.drivers.tweeter]\nup = ["120 mm", "120 mm"]\n').place
    assert place.moved == (Moved("tweeter", None, (0.12, 0.12)),)


@pytest.mark.parametrize(
    ("table", "key", "words"),
    [
        ("[place.drivers.twetter]", "drivers.twetter", "did you mean 'tweeter'?"),
        ('[place.delays]\nwofer = ["0 us", "1 us"]', "delays.wofer", "did you mean 'woofer'?"),
        (
            '[place.drivers.tweeter]\nright = ["4 mm", "-4 mm"]',
            "drivers.tweeter.right",
            "the lower value comes first",
        ),
        ('[place]\near_height = ["1 m", "0.9 m"]', "ear_height", "the lower height comes first"),
        ('[place]\nband = ["8 kHz", "500 Hz"]', "band", "the lower frequency comes first"),
        ('[place]\nband = ["5 Hz", "5 kHz"]', "band.1", "write a value from 10 Hz"),
        ('[place]\nband = ["10 Hz", "5 kHz"]', "band.1", "the prediction's lowest frequency is"),
        ('[place.delays]\ntweeter = ["2 us", "1 us"]', "delays", "the lower delay comes first"),
        (
            '[place.delays]\ntweeter = ["-2 us", "1 us"]',
            "delays.tweeter.1",
            "a delay cannot look ahead",
        ),
        (
            '[place]\ncorners = [["3 kHz", "2 kHz"]]',
            "corners",
            "the lower frequency comes first",
        ),
        (
            '[place]\ncorners = [["200 Hz", "300 Hz"], ["2 kHz", "3 kHz"]]',
            "corners",
            "there are 2 spans, and the sections of the drivers make 1 crossover, at 2.1 kHz",
        ),
        ('[place]\naim = "sides"\nagainst = "sides"', "against", 'or against = "none"'),
        ('[place]\naim = "ripple"', "aim", "is none of the choices"),
        ('[place]\nwindow = "35 deg"', "window", "in steps of 10 degrees"),
        ('[place]\nwindow = "100 deg"', "window", "write a value from 10 deg to 90 deg"),
        ("[place]\ngap = 10", "gap", "10 has no unit"),
        (
            '[[place.treatments]]\nname = "a"\n[[place.treatments]]\nname = "a"',
            "treatments.2.name",
            "another treatment is called 'a' too",
        ),
        (
            '[[place.treatments]]\nname = "a"\nrounds = [{ radius = "150 mm" }]',
            "treatments.1.rounds.1.radius",
            "less",
        ),
        (
            '[[place.treatments]]\nname = "a"\nrounds = [{ radius = "5 mm" }]\n'
            'chamfers = [{ edges = ["front top"], setback = "5 mm" }]',
            "treatments.1.rounds.1.edges.3",
            "is cut or rounded already",
        ),
        (
            '[[place.treatments]]\nname = "a"\nchamfers = [{ edges = ["front top"], '
            'setback = "5 mm", far_setbacks = ["5 mm", "6 mm"] }]',
            "treatments.1.chamfers",
            "leave far_setbacks out",
        ),
        ('[[place.treatments]]\nrounds = [{ radius = "5 mm" }]', "treatments.1.name", "missing"),
        ("[place]\nseed = -1", "seed", "a whole number from 0"),
        ("[place]\naims = 1", "aims", "did you mean 'aim'?"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(tmp_path, table, key, words):
    faults = faults_of(tmp_path, table)
    (fault,) = [each for each in faults if each.key == f"place.{key}"]
    assert words in fault.message
    assert len(faults) == 1
    start = (ELECTRICAL + "\n").count("\n")
    assert fault.line > start


def test_a_floor_dip_needs_a_floor(tmp_path):
    text = ELECTRICAL.replace("[floor]\nreflection = 0.9\n", "").replace(
        '[[aims]]\nmeasure = "floor dip"\nat_most = 8.0\n', ""
    )
    (fault,) = faults_of(tmp_path, '[place]\nagainst = "floor dip"', text)
    assert fault.key == "place.against"
    assert "add a table [floor]" in fault.message


def test_no_layout_is_better_on_the_axis_where_filters_make_it(tmp_path):
    name = "compact-centred"
    text = shipped_text(name)
    assert read_case(CASES / name).crossover[0].slopes == "acoustic"
    (fault,) = faults_of(tmp_path, '[place]\naim = "ripple on axis"', text)
    assert fault.key == "place.aim"
    assert '"common ripple"' in fault.message


def test_a_passive_crossover_has_neither_corners_nor_delays(tmp_path):
    text = shipped_text("compact-passive")
    table = '[place]\ncorners = [["1 kHz", "2 kHz"]]\n[place.delays]\nwoofer = ["0 us", "9 us"]'
    corners, delays = faults_of(tmp_path, table, text)
    assert (corners.key, delays.key) == ("place.corners", "place.delays.woofer")
    assert "roundover crossover" in corners.message
    assert "is passive and cannot delay" in delays.message


def test_a_plate_without_thickness_has_no_edges_to_treat(tmp_path):
    plate = ELECTRICAL.replace('depth = "300 mm"', 'shape = "plate"')
    table = '[[place.treatments]]\nname = "a"\nrounds = [{ radius = "5 mm" }]'
    (fault,) = faults_of(tmp_path, table, plate)
    assert fault.key == "place.treatments.1.rounds"
    assert "give it a thickness" in fault.message
    both = plate.replace("sensitivity = 88.0", "sensitivity = 88.0\nboth_sides = true")
    moved = case_with(tmp_path, "\n[place.drivers.woofer]\n", both).place.moved
    assert moved == (Moved("woofer"),)


def test_a_driver_keeps_the_cut_it_sits_on(tmp_path):
    cut = 'chamfers = [{ edges = ["front left"], setback = "110 mm" }]\n'
    text = ELECTRICAL.replace('depth = "300 mm"', f'depth = "300 mm"\n{cut}')
    text = text.replace('"120 mm"', '"90 mm"').replace(
        'frame_diameter = "165 mm"', 'frame_diameter = "95 mm"\nface = [-1, 0, 1]'
    )
    text = text.replace('position = ["0 mm", "125 mm"]', 'position = ["55 mm", "125 mm"]')
    kept = f'\n[[place.treatments]]\nname = "a"\n{cut}'
    assert case_with(tmp_path, kept, text).place.treatments[0].chamfers
    (fault,) = faults_of(tmp_path, '[[place.treatments]]\nname = "sharp"', text)
    assert fault.key == "place.treatments.1.name"
    assert "'woofer' sits on the front left chamfer" in fault.message


def passes(low, high):
    kind = "low-pass" if low is None else "high-pass" if high is None else "band-pass"
    return (PassFilter(kind, "butterworth", 2, low, high),)


def crossovers(*drivers):
    pairs = pairs_of([band_of(sections) for sections in drivers])
    return [[(each.lower, each.upper) for each in group] for group in crossovers_of_pairs(pairs)]


def test_corners_of_different_drivers_that_go_together_are_a_crossover():
    """From the definition."""
    tweeter, midrange = passes(900.0, None), passes(520.0, 880.0)
    woofer = (*passes(30.0, None), *passes(None, 500.0))
    assert crossovers(tweeter, midrange, woofer) == [[(2, 1)], [(1, 0)]]
    # Two woofers, one of which ends early: its corner goes with nobody's.
    high = passes(2000.0, None)
    assert crossovers(high, passes(None, 1900.0), passes(None, 200.0)) == [[(1, 0)]]
    assert crossovers(high, passes(None, 1900.0), passes(None, 1900.0)) == [[(1, 0), (2, 0)]]
    assert crossovers(high, ()) == [[(1, 0)]]
    assert crossovers(midrange) == []


@pytest.mark.parametrize(
    "broken",
    [
        "place = 3",
        "[place]\ndrivers = 3",
        "[place]\ncorners = 3",
        "[place]\ntreatments = 3",
        "[place]\ntreatments = [3]",
        '[place]\ndelays = ["0 us"]',
        "[place.drivers]\ntweeter = 3",
    ],
)
def test_nonsense_is_told_too(tmp_path, broken):
    text = f"{broken}\n{ELECTRICAL}" if broken.startswith("place") else ELECTRICAL
    faults = faults_of(tmp_path, "" if broken.startswith("place") else broken, text)
    assert all(fault.key.startswith("place") for fault in faults)
