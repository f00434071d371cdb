"""Cabinets, seats and surfaces that cannot be where the case puts them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import FURNISHED, GOOD, line_with, replaced

from acoustics.case import Case, read_case
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]


def keys(faults: tuple[Fault, ...]) -> list[str]:
    return [fault.key for fault in faults]


def read(text: str, folder: Path) -> Case:
    file = folder / "case.toml"
    file.write_text(text)
    return read_case(file)


def test_the_text_that_the_faults_are_put_into_has_none(tmp_path: Path) -> None:
    case = read(FURNISHED, tmp_path)
    assert len(case.surfaces) == 6
    assert len(case.seat.places) == 3


# What stands in the file, what replaces it, the key, the start of the fault's line, and the words
# the fault must have. Numbers by hand from the plan: a cabinet 0.22 m wide and 0.3 m deep, turned
# by t about the centre of its front face, reaches 0.11 sin t ahead of that, 0.11 sin t + 0.3 cos t
# behind it, and (turned inward) 0.11 cos t to the inside, 0.11 cos t + 0.3 sin t to the outside.
# For 10 degrees: 0.0191, 0.3145, 0.1083 and 0.1604 m.
ONE_FAULT = [
    # one pair or none
    (
        'spacing = "2 m"\n',
        "",
        "placement.spacing",
        "[placement]",
        'a pair has a spacing; add it, for example spacing = "2 m"',
    ),
    (
        'cabinets = "mirrored pair"\n',
        "",
        "placement.spacing",
        "spacing",
        "a single cabinet has no spacing; leave the key out or write cabinets = ",
    ),
    (
        'cabinets = "mirrored pair"',
        'cabinets = "pair"',
        "placement.cabinets",
        "cabinets",
        "use single or mirrored pair",
    ),
    ('spacing = "2 m"', 'spacing = "21 m"', "placement.spacing", "spacing", "from 0.1 m to 20 m"),
    ('spacing = "2 m"', "spacing = 2", "placement.spacing", "spacing", "2 has no unit"),
    ('toe_in = "10 deg"', 'toe_in = "91 deg"', "placement.toe_in", "toe_in", "-90 deg to 90 deg"),
    ('toe_in = "10 deg"', 'toein = "10 deg"', "placement.toein", "toein", "did you mean 'toe_in'?"),
    # cabinets in each other's way: 2 * 0.1083 m
    (
        'spacing = "2 m"',
        'spacing = "20 cm"',
        "placement.spacing",
        "spacing",
        "the two cabinets overlap by 16.66 mm; with this toe_in the centres of their front faces "
        "must be more than 0.217 m apart: write a larger spacing or turn them less",
    ),
    # surfaces
    (
        'distance = "0.8 m"',
        'distance = "0.3 m"',
        "front_wall.distance",
        'distance = "0.3 m"',
        "a cabinet goes 14.54 mm through the front wall: it reaches 0.315 m behind the front-face "
        "centres; write more than that, or take a shallower cabinet or turn the cabinets less",
    ),
    (
        'distance = "1.7 m"',
        'distance = "1.1 m"',
        "left_wall.distance",
        'distance = "1.1 m"',
        "a cabinet goes 60.42 mm through the left wall: it reaches 1.161 m to the left of the "
        "middle; write more than that, or bring the cabinets closer together or turn the cabinets",
    ),
    (
        'distance = "1.9 m"',
        'distance = "1.16 m"',
        "right_wall.distance",
        'distance = "1.16 m"',
        "a cabinet goes 0.4233 mm through the right wall: it reaches 1.161 m to the right",
    ),
    (
        'height = "2.4 m"',
        'height = "0.96 m"',
        "ceiling.height",
        'height = "0.96 m"',
        "the cabinet goes 20 mm through the ceiling: its top is 0.98 m above the floor; write more",
    ),
    (
        'height = "2.4 m"',
        'height = "98 cm"',
        "ceiling.height",
        'height = "98 cm"',
        "the cabinet touches the ceiling",
    ),
    ('distance = "0.8 m"\n', "", "front_wall.distance", "[front_wall]", 'distance = "0.7 m"'),
    ('distance = "4.2 m"\n', "", "rear_wall.distance", "[rear_wall]", 'distance = "4 m"'),
    ('distance = "1.7 m"\n', "", "left_wall.distance", "[left_wall]", 'distance = "1.8 m"'),
    ('height = "2.4 m"\n', "", "ceiling.height", "[ceiling]", 'height = "2.5 m"'),
    (
        'height = "2.4 m"',
        'height = "2.4 m"\ndistance = "2.4 m"',
        "ceiling.distance",
        'distance = "2.4 m"',
        "the keys here are reflection, absorber, height",
    ),
    (
        'height = "2.4 m"',
        'height = "0.2 m"',
        "ceiling.height",
        'height = "0.2 m"',
        "from 0.3 m to 100 m",
    ),
    (
        'distance = "4.2 m"',
        'distance = "4 cm"',
        "rear_wall.distance",
        'distance = "4 cm"',
        "from 0.05 m to 100 m",
    ),
    (
        "reflection = 0.8",
        "reflection = 0",
        "front_wall.reflection",
        "reflection = 0\n",
        "a front wall that reflects nothing is none; leave the whole table out",
    ),
    (
        "reflection = 0.8",
        "reflection = -1.1",
        "front_wall.reflection",
        "reflection = -1.1",
        "a number from -1 to 1",
    ),
    (
        'height = "2.4 m"',
        'height = "2.4 m"\nreflection = 0.0',
        "ceiling.reflection",
        "reflection = 0.0",
        "a ceiling that reflects nothing is none",
    ),
    # absorbers
    (
        "absorber = {",
        "reflection = 1\nabsorber = {",
        "right_wall.absorber",
        "absorber",
        "the side wall has a reflection factor and an absorber; keep one of the two",
    ),
    (
        'thickness = "50 mm", ',
        "",
        "right_wall.absorber.thickness",
        "absorber",
        'the key is missing; add it, for example thickness = "50 mm"',
    ),
    (
        ', flow_resistivity = "12 kPa s/m2"',
        "",
        "right_wall.absorber.flow_resistivity",
        "absorber",
        'add it, for example flow_resistivity = "10 kPa s/m2"',
    ),
    (
        '"50 mm", flow',
        '"0.5 mm", flow',
        "right_wall.absorber.thickness",
        "absorber",
        "from 1 mm to 1 m",
    ),
    (
        "12 kPa s/m2",
        "400 Pa s/m2",
        "right_wall.absorber.flow_resistivity",
        "absorber",
        "write a value from 0.5 kPa s/m2 to 1000 kPa s/m2",
    ),
    (
        "12 kPa s/m2",
        "12 kPa",
        "right_wall.absorber.flow_resistivity",
        "absorber",
        "'12 kPa' is not a flow resistivity; use Pa s/m2, kPa s/m2, N s/m4 or kN s/m4",
    ),
    (
        'absorber = { thickness = "50 mm", flow_resistivity = "12 kPa s/m2" }',
        'absorber = "50 mm"',
        "right_wall.absorber",
        "absorber",
        "'50 mm' is not a table",
    ),
    # seats
    (
        'aside = "0.6 m"',
        'aside = "2 m"',
        "seat.others.next.aside",
        'aside = "2 m"',
        "2 m to the right, the seat is 0.1 m beyond the right wall (1.9 m); move the seat or "
        "change right_wall.distance",
    ),
    (
        'aside = "-0.7 m"',
        'aside = "-1.7 m"',
        "seat.others.left-end.aside",
        'aside = "-1.7 m"',
        "1.7 m to the left, the seat is at the left wall (1.7 m); move the seat or change left_wal",
    ),
    (
        'distance = "2.7 m"',
        'distance = "4.5 m"',
        "seat.others.left-end.distance",
        'distance = "4.5 m"',
        "4.5 m ahead, the seat is 0.3 m beyond the rear wall (4.2 m); move the seat or change rear",
    ),
    (
        'ear_heights = ["0.85 m", "0.95 m"]',
        'ear_heights = ["0.85 m", "2.4 m"]',
        "seat.ear_heights.2",
        "ear_heights",
        "ears at 2.4 m are not below the ceiling (2.4 m); write a lower height or a higher ceiling",
    ),
    (
        "[seat.others.next]",
        "[seat.others.main]",
        "seat.others.main",
        "[seat.others.main]",
        "'main' is the seat of [seat] itself; give this one another name",
    ),
    (
        "[seat.others.next]",
        '[seat.others." Main "]',
        "seat.others. Main ",
        '[seat.others." Main "]',
        "'main' is the seat of [seat] itself",
    ),
    (
        "[seat.others.next]",
        '[seat.others."a/b"]',
        "seat.others.a/b",
        '[seat.others."a/b"]',
        "'a/b' holds /; write a name of letters, digits, spaces, dashes and underscores",
    ),
    (
        'aside = "0.6 m"',
        'asside = "0.6 m"',
        "seat.others.next.asside",
        "asside",
        "did you mean 'aside'?",
    ),
    (
        'aside = "0.6 m"',
        'ear_heights = ["0.6 m"]',
        "seat.others.next.ear_heights",
        'ear_heights = ["0.6 m"]',
        "the keys here are distance, aside",
    ),
    ('aside = "0.6 m"', "aside = 0.6", "seat.others.next.aside", "aside = 0.6", "has no unit"),
]


@pytest.mark.parametrize(("old", "new", "key", "at", "said"), ONE_FAULT)
def test_a_fault_has_its_line_its_key_and_a_way_out(
    faults_of: FaultsOf, old: str, new: str, key: str, at: str, said: str
) -> None:
    text = replaced(FURNISHED, old, new)
    (fault,) = faults_of(text)
    assert fault.key == key
    assert said in fault.message
    assert fault.line == text[: text.index(f"\n{at}") + 1].count("\n") + 1


def single(placement: str = "", more: str = "") -> str:
    """GOOD with one cabinet: 0.22 m wide, 0.3 m deep, top 0.98 m above the floor."""
    return f"{GOOD}[placement]\n{placement}\n{more}\n"


def test_a_pair_that_touches(faults_of: FaultsOf, tmp_path: Path) -> None:
    pair = 'cabinets = "mirrored pair"\n'
    (fault,) = faults_of(single(f'{pair}spacing = "22 cm"'))
    assert fault.key == "placement.spacing"
    assert "the two cabinets touch each other; the centres of their front faces must be" in (
        fault.message
    )
    assert "more than 0.22 m apart: write a larger spacing" in fault.message
    assert "turn" not in fault.message
    assert read(single(f'{pair}spacing = "221 mm"'), tmp_path).placement.spacing == 0.221


def test_a_pair_turned_outward_reaches_inward_with_its_back(faults_of: FaultsOf) -> None:
    # The back's inner corner lies 0.11 cos 30 + 0.3 sin 30 = 0.2453 m inside of the centre.
    pair = 'cabinets = "mirrored pair"\ntoe_in = "-30 deg"\nspacing = "0.4 m"'
    (fault,) = faults_of(single(pair))
    assert "overlap by 90.53 mm" in fault.message
    assert "more than 0.491 m apart" in fault.message


@pytest.mark.parametrize(
    ("placement", "wall", "reach"),
    [
        ("", '[front_wall]\ndistance = "{}"', 0.3),
        ("", '[left_wall]\ndistance = "{}"', 0.11),
        ("", '[right_wall]\ndistance = "{}"', 0.11),
        # Turned to the right the back swings to the left: 0.11 cos 20 + 0.3 sin 20 = 0.205972.
        ('toe_in = "20 deg"', '[left_wall]\ndistance = "{}"', 0.205972),
        ('toe_in = "20 deg"', '[right_wall]\ndistance = "{}"', 0.103366),
        ('toe_in = "-20 deg"', '[left_wall]\ndistance = "{}"', 0.103366),
        ('toe_in = "-20 deg"', '[right_wall]\ndistance = "{}"', 0.205972),
        # 0.11 sin 20 + 0.3 cos 20 = 0.319530 behind, whichever way it is turned.
        ('toe_in = "-20 deg"', '[front_wall]\ndistance = "{}"', 0.319530),
        ('toe_in = "20 deg"', '[front_wall]\ndistance = "{}"', 0.319530),
        # Turned by a right angle it reaches half its width ahead.
        ('toe_in = "90 deg"', '[front_wall]\ndistance = "{}"', 0.11),
        ('toe_in = "90 deg"', '[left_wall]\ndistance = "{}"', 0.3),
    ],
)
def test_a_single_cabinet_keeps_clear_of_each_wall(
    faults_of: FaultsOf, tmp_path: Path, placement: str, wall: str, reach: float
) -> None:
    near, far = (wall.format(f"{reach + step:.6f} m") for step in (-1e-5, 1e-5))
    (fault,) = faults_of(single(placement, near))
    assert f"through the {near[1 : near.index(']')].replace('_', ' ')}" in fault.message
    assert ("turn the cabinet less" in fault.message) == bool(placement)
    assert len(read(single(placement, far), tmp_path).surfaces) == 2


def test_a_cabinet_that_touches_a_wall(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(single("", '[front_wall]\ndistance = "30 cm"'))
    assert "a cabinet touches the front wall: it reaches 0.3 m behind" in fault.message


def test_a_cabinet_in_the_rear_wall(faults_of: FaultsOf) -> None:
    # Turned by a right angle it reaches 0.11 m ahead; the seat is beyond that wall too.
    text = single('toe_in = "90 deg"', '[rear_wall]\ndistance = "0.1 m"')
    faults = faults_of(text)
    assert keys(faults) == ["seat.distance", "rear_wall.distance"]
    assert "goes 10 mm through the rear wall: it reaches 0.11 m ahead" in faults[1].message


def test_a_wall_needs_no_floor(tmp_path: Path) -> None:
    text = GOOD.replace("[floor]\nreflection = 0.9\n", '[rear_wall]\ndistance = "4 m"\n')
    (wall,) = read(text.replace("floor dip", "ripple"), tmp_path).surfaces
    assert (wall.name, wall.position, wall.reflection) == ("rear wall", 4.0, 1.0)


def test_a_floor_dip_needs_a_floor_whatever_the_walls(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(replaced(FURNISHED, "[floor]\nreflection = 0.9\n", ""))
    assert fault.key == "aims.3.measure"


def test_the_floor_can_be_an_absorber(tmp_path: Path, faults_of: FaultsOf) -> None:
    layer = '[floor.absorber]\nthickness = "10 mm"\nflow_resistivity = "50 kPa s/m2"\n'
    case = read(replaced(GOOD, "[floor]\nreflection = 0.9\n", layer), tmp_path)
    assert case.floor is not None
    assert case.floor.absorber is not None
    assert case.floor.absorber.flow_resistivity == 50_000.0
    (fault,) = faults_of(GOOD + layer)
    assert fault.key == "floor.absorber"
    assert "the floor has a reflection factor and an absorber; keep one" in fault.message


@pytest.mark.parametrize(
    ("toe_in", "distance", "aside", "found"),
    [
        # Straight ahead the face is the line z = 0 from -0.11 m to 0.11 m.
        (0, 0.1, 0.0, None),
        # Turned by 90 degrees to the right the cabinet fills x from -0.3 m to 0, z to 0.11 m.
        (90, 0.1, -0.1, "inside a cabinet"),
        (90, 0.12, -0.1, "10 mm from a cabinet"),
        (90, 0.159, -0.1, "49 mm from a cabinet"),
        (90, 0.161, -0.1, None),
        (90, 0.1, 0.049, "49 mm from a cabinet"),
        (90, 0.1, 0.051, None),
        # Past the corner (0, 0.11): 30 mm and 40 mm are 50 mm on the diagonal.
        (90, 0.1499, 0.03, "49.9 mm from a cabinet"),
        (90, 0.1501, 0.03, None),
        # Turned to the left it fills x from 0 to 0.3 m.
        (-90, 0.1, 0.1, "inside a cabinet"),
        (-90, 0.1, -0.049, "49 mm from a cabinet"),
        (-90, 0.1, -0.051, None),
    ],
)
def test_a_seat_keeps_clear_of_a_cabinet(
    faults_of: FaultsOf,
    tmp_path: Path,
    toe_in: float,
    distance: float,
    aside: float,
    found: str | None,
) -> None:
    seat = f'distance = "{distance} m"\naside = "{aside} m"'
    text = replaced(GOOD, 'distance = "2.5 m"', seat) + f'[placement]\ntoe_in = "{toe_in} deg"\n'
    if found is None:
        assert read(text, tmp_path).seat.main.aside == aside
        return
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("seat.distance", line_with(text, f'distance = "{distance}'))
    assert f"seen from above the ears are {found}, and must be 50 mm away" in fault.message


@pytest.mark.parametrize("aside", [-1.0, 1.0])
def test_both_cabinets_of_a_pair_are_in_the_way(
    faults_of: FaultsOf, tmp_path: Path, aside: float
) -> None:
    # At 90 degrees each reaches 0.3 m outward of 1 m and 0.11 m ahead.
    pair = 'cabinets = "mirrored pair"\nspacing = "2 m"\ntoe_in = "90 deg"'
    seat = '[seat.others.near]\ndistance = "0.1 m"\naside = "{} m"'
    (fault,) = faults_of(single(pair, seat.format(aside)))
    assert fault.key == "seat.others.near.distance"
    assert "inside a cabinet" in fault.message
    assert read(single(pair, seat.format(0.9 * aside)), tmp_path)
    assert keys(faults_of(single(pair, seat.format(1.2 * aside)))) == ["seat.others.near.distance"]


def test_every_seat_and_every_ear_height_is_named(faults_of: FaultsOf) -> None:
    text = replaced(FURNISHED, 'distance = "2.5 m"', 'distance = "5 m"\naside = "-3 m"')
    text = replaced(text, '["0.85 m", "0.95 m"]', '["2.5 m", "2.6 m", "1 m"]')
    text = replaced(text, 'distance = "2.7 m"', 'distance = "6 m"')
    # The seat called next has the main seat's distance; that is said once, at the main seat.
    assert keys(faults_of(text)) == [
        "seat.distance",
        "seat.aside",
        "seat.ear_heights.1",
        "seat.ear_heights.2",
        "seat.others.left-end.distance",
    ]


def test_a_fault_hides_no_other(faults_of: FaultsOf) -> None:
    text = FURNISHED
    for old, new in (
        ("[seat.others.next]", '[seat.others.strange]\naside = "x"\n[seat.others.next]'),
        ('aside = "-0.7 m"', 'aside = "-1.8 m"'),
        ('aside = "0.6 m"', 'aside = "1.95 m"'),
        ('ear_heights = ["0.85 m", "0.95 m"]', 'ear_heights = ["3 m", "-1 m"]'),
        ('distance = "0.8 m"', 'distance = "0.2 m"'),
        ('flow_resistivity = "12 kPa s/m2"', 'flow_resistivity = "12"'),
    ):
        text = replaced(text, old, new)
    # Of those on one line the slips in writing come first.
    assert keys(faults_of(text)) == [
        "seat.ear_heights.2",
        "seat.ear_heights.1",
        "seat.others.left-end.aside",
        "seat.others.strange.aside",
        "seat.others.next.aside",
        "front_wall.distance",
        "right_wall.absorber.flow_resistivity",
    ]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("[placement]", "[placment]"),
        ("[front_wall]", "[frontwall]"),
        ("[ceiling]", "[cieling]"),
        ("cabinets =", "cabinet ="),
        ('spacing = "2 m"', 'spaceing = "2 m"'),
        ('distance = "1.9 m"', 'distanse = "1.9 m"'),
    ],
)
def test_what_is_only_misspelt_is_one_fault(faults_of: FaultsOf, old: str, new: str) -> None:
    (fault,) = faults_of(replaced(FURNISHED, old, new))
    assert "did you mean" in fault.message


def test_at_most_eight_further_seats(faults_of: FaultsOf) -> None:
    text = FURNISHED + "".join(f"[seat.others.s{number}]\n" for number in range(7))
    (fault,) = faults_of(text)
    assert fault.key == "seat.others"
    assert fault.message == (
        "there are more than 8 further seats; at most 8 are predicted together"
    )


def test_seats_have_a_share_in_how_much_is_solved(faults_of: FaultsOf, tmp_path: Path) -> None:
    heights = ", ".join(f'"{1 + number / 100:g} m"' for number in range(50))
    text = replaced(FURNISHED, '"0.85 m", "0.95 m"', heights)
    # 2 cabinets · 3 seats · (7 ways · 50 heights + 60) = 2460; arcs 144; 239 frequencies; 2 drivers
    # make 1 244 712 values.
    assert len(read(text, tmp_path).seat.ear_heights) == 50
    (fault,) = faults_of(replaced(text, "per_octave = 24", "per_octave = 96"))
    assert fault.key == "seat"
    assert fault.message == (
        "956 frequencies at 144 receivers on the arcs and 2460 at the seats for 2 drivers make "
        "4978848 values; at most 4000000 are solved: take fewer seats or ear heights, or fewer "
        "frequencies per octave"
    )
