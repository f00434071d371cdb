from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from acoustics.case import Case, PassFilter, read_case

CASES = Path(__file__).parents[2] / "cases"
NAMES = ("compact-centred", "compact-offset", "compact-passive", "floorstander", "open-baffle")


@pytest.mark.parametrize("name", NAMES)
def test_a_worked_design_is_complete(name: str) -> None:
    case = read_case(CASES / name)
    assert "invented" in case.note.lower()
    assert len(case.aims) >= 5
    assert case.floor is not None
    assert {branch.driver for branch in case.crossover} == {driver.name for driver in case.drivers}


@pytest.mark.parametrize("name", NAMES)
def test_the_tweeter_is_at_ear_height(name: str) -> None:
    # Common practice, no source: tweeter at the height of the ears.
    case = read_case(CASES / name)
    height = case.driver("tweeter").position[1] - case.cabinet.floor_level
    assert height == pytest.approx(0.95, abs=1e-9)
    assert min(case.seat.ear_heights) < height < max(case.seat.ear_heights)


@pytest.mark.parametrize("name", [name for name in NAMES if name != "compact-passive"])
def test_the_delays_bring_the_acoustic_centres_into_one_plane(name: str) -> None:
    case = read_case(CASES / name)
    delays = {branch.driver: branch.delay for branch in case.crossover}
    # With acoustic slopes the computed filters do that themselves.
    computed = all(branch.slopes == "acoustic" for branch in case.crossover)
    planes = [
        (0.0 if computed else driver.acoustic_depth) + delays[driver.name] * case.air.speed_of_sound
        for driver in case.drivers
    ]
    assert max(planes) - min(planes) < 0.5e-3


def _corners(case: Case, driver: str) -> tuple[float | None, float | None]:
    branch = next(branch for branch in case.crossover if branch.driver == driver)
    (slope,) = (section for section in branch.sections if isinstance(section, PassFilter))
    return slope.low_corner, slope.high_corner


def test_neighbours_cross_at_one_frequency() -> None:
    compact = read_case(CASES / "compact-centred")
    assert _corners(compact, "tweeter") == (2200.0, None)
    assert _corners(compact, "woofer") == (None, 2200.0)
    tall = read_case(CASES / "floorstander")
    assert _corners(tall, "midrange") == (350.0, 2800.0)
    assert _corners(tall, "tweeter") == (2800.0, None)
    assert _corners(tall, "woofer") == (None, 350.0)


def test_the_passive_design_is_the_centred_one_with_parts_one_can_buy() -> None:
    # E12 series: IEC 60063.
    e12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)
    passive, centred = (read_case(CASES / f"compact-{name}") for name in ("passive", "centred"))
    same = {"drivers", "cabinet", "amplifier", "aims", "brief", "seat", "surfaces"}
    assert all(getattr(passive, key) == getattr(centred, key) for key in same)
    # Its braces are told by their sizes, which come to 0.399 l where the other one states 0.4 l.
    (box,), (stated,) = passive.enclosures, centred.enclosures
    assert box.gross == stated.gross
    assert box.volume == pytest.approx(stated.volume, rel=1e-4)
    for branch in passive.crossover:
        assert branch.slopes == "passive"
        for element in branch.elements:
            for value in (element.inductor, element.capacitor, element.resistor):
                digits = value and round(100 * value / 10 ** math.floor(math.log10(value)))
                assert digits is None or digits in [10 * each for each in e12]
            # Coils have wire: common practice, no source.
            assert element.inductor is None or element.resistance > 0.1


def test_the_compact_designs_differ_only_in_the_place_of_the_tweeter() -> None:
    centred, offset = (read_case(CASES / name) for name in NAMES[:2])
    tweeter, woofer = centred.drivers
    moved = replace(
        centred,
        title=offset.title,
        note=offset.note,
        path=offset.path,
        digest=offset.digest,
        drivers=(replace(tweeter, position=(0.045, 0.125)), woofer),
        reference=replace(centred.reference, point=(0.045, 0.125)),
        place=offset.place,
    )
    assert moved == offset
    assert centred.digest != offset.digest
