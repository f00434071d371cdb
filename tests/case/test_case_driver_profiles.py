"""Any radial profile of a piston from the case file, and drivers that are not solved."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import GOOD

from acoustics.cabinet import Profile
from acoustics.case import read_case
from acoustics.case.geometry.shape import pistons_of
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

TWEETER = "[drivers.tweeter]\n"
NOT_SOLVED = "horns and waveguides are not solved; measure such a driver and use its measured"


def with_keys(keys: str) -> str:
    """The case without faults, its tweeter (a piston of 12.5 mm radius) with further keys."""
    return GOOD.replace(TWEETER, f"{TWEETER}{keys}\n")


def rows(*parts: str) -> str:
    return f"profile = [{', '.join(f'{{ {part} }}' for part in parts)}]"


MIDDLE = 'radius = "0 mm", velocity = 1.0'
BETWEEN = 'radius = "5 mm", velocity = 0.8, depth = "-1 mm"'
RIM = 'radius = "12.5 mm", velocity = 0.5, depth = "2 mm"'


def test_rows_are_the_profile_made_by_hand(tmp_path: Path) -> None:
    file = tmp_path / "case.toml"
    file.write_text(with_keys(rows(MIDDLE, BETWEEN, RIM)), encoding="utf-8")
    case = read_case(file)
    by_hand = Profile((0.0, 0.4, 1.0), (1.0, 0.8, 0.5), (0.0, -0.001, 0.002))
    found = pistons_of(case)[0].profile
    assert found.radii == pytest.approx(by_hand.radii, abs=1e-15)
    assert (found.velocity, found.depth) == (by_hand.velocity, by_hand.depth)
    file.write_text(GOOD, encoding="utf-8")
    assert read_case(file).digest != case.digest


def test_a_last_radius_in_inches_meets_the_rim(tmp_path: Path) -> None:
    file = tmp_path / "case.toml"
    text = with_keys(rows(MIDDLE, 'radius = "0.5 in", velocity = 1'))
    file.write_text(text.replace('"25 mm"', '"2.54 cm"', 1), encoding="utf-8")
    assert read_case(file).drivers[0].profile.flat


@pytest.mark.parametrize(
    ("keys", "key", "words"),
    [
        (rows(MIDDLE, RIM, RIM), "profile.3.radius", "12.5 mm in row 3 is not beyond the 12.5 mm"),
        (rows(MIDDLE, BETWEEN), "profile.2.radius", "not the piston's radius of 12.5 mm"),
        (rows(MIDDLE, RIM.replace('"2 mm"', '"13 mm"')), "profile.2.depth", NOT_SOLVED),
        (rows(MIDDLE, RIM.replace("0.5", '"1"')), "profile.2.velocity", "without quotes"),
        (rows(MIDDLE, 'radius = "12.5 mm"'), "profile.2.velocity", "the key is missing"),
        (rows(MIDDLE, f"{RIM}, dept = 1"), "profile.2.dept", "did you mean 'depth'?"),
        (rows(MIDDLE), "profile", "has the wrong length"),
        (rows(MIDDLE.replace("1.0", "0"), RIM.replace("0.5", "0")), "profile", "must move air"),
        (f'dome_height = "5 mm"\n{rows(MIDDLE, RIM)}', "profile", "keep dome_height or profile"),
        (f'cone_depth = "5 mm"\n{rows(MIDDLE, RIM)}', "profile", "keep cone_depth or profile"),
        (f'ring_inner_diameter = "5 mm"\n{rows(MIDDLE, RIM)}', "profile", "keep ring_inner_"),
        (f'cap_diameter = "5 mm"\n{rows(MIDDLE, RIM)}', "cap_diameter", "only a cone has a cap"),
        ('waveguide_depth = "20 mm"', "waveguide_depth", NOT_SOLVED),
        ("waveguide = true", "waveguide", NOT_SOLVED),
        ('Horn_length = "0.3 m"', "Horn_length", NOT_SOLVED),
    ],
)
def test_one_fault(faults_of: FaultsOf, keys: str, key: str, words: str) -> None:
    (fault,) = faults_of(with_keys(keys))
    assert fault.key == f"drivers.tweeter.{key}"
    assert words in fault.message, fault.message


def test_every_row_at_once(faults_of: FaultsOf) -> None:
    keys = {f.key for f in faults_of(with_keys(rows(MIDDLE, MIDDLE, BETWEEN)))}
    assert keys == {"drivers.tweeter.profile.2.radius", "drivers.tweeter.profile.3.radius"}
