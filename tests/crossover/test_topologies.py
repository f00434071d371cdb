"""Shapes in words, and the ladders that a fit begins with."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import PassFilter
from acoustics.case.design.topology import ADDITIONS, topology_of
from acoustics.crossover import solve_network
from acoustics.crossover.pass_filter import pass_response
from acoustics.crossover.topologies import first_ladder, in_pieces, kinds_of, values_of, with_values

CORNERS = (500.0, 3000.0)


def start(words, excess=0.0):
    return first_ladder(topology_of(words), CORNERS, 8.0, excess)


@pytest.mark.parametrize(
    ("words", "kinds", "places"),
    [
        ("low-pass 1", "L", "s"),
        ("low-pass 3", "LCL", "sas"),
        ("high-pass 4", "CLCL", "sasa"),
        ("low-pass 2 + damping", "LCR", "sa"),
        ("high-pass 2 + damping", "CLR", "sa"),
        ("high-pass 2 + attenuator", "CLRR", "sasa"),
        ("high-pass 2 + resistor", "RCL", "ssa"),
        ("low-pass 2 + compensation", "LCCR", "saa"),
        ("high-pass 1 + low-pass 1", "CL", "ss"),
        ("low-pass 1 + trap in the way", "LCRL", "ss"),
        ("low-pass 1 + trap across", "LLCR", "sa"),
    ],
)
def test_words_mean_parts_in_order(words, kinds, places):
    ladder = start(words)
    letters = {"inductor": "L", "capacitor": "C", "resistor": "R"}
    assert "".join(letters[kind] for kind in kinds_of(ladder)) == kinds
    assert "".join(element.place[0] for element in ladder) == places
    assert topology_of(words).parts == len(kinds)


@pytest.mark.parametrize(
    "words",
    [
        "",
        "low-pass",
        "low-pass 5",
        "low-pass 0",
        "band-pass 2",
        "low-pass 2 + low-pass 2",
        "attenuator + low-pass 2",
        "low-pass 2 + attenuator + attenuator",
        "low-pass 2 + zobel",
        "low-pass 1 + damping",
        "low-pass 2 +",
    ],
)
def test_other_words_are_refused_with_what_there_is(words):
    with pytest.raises(ValueError, match="is no crossover; write its sections") as error:
        topology_of(words)
    assert all(word in str(error.value) for word in ADDITIONS)


def test_the_order_of_additions_does_not_matter_but_is_told_in_one():
    one, other = "low-pass 2 + compensation + damping", "low-pass 2  +  damping + compensation"
    assert topology_of(one) == topology_of(other)
    assert topology_of(one).name == "low-pass 2 + damping + compensation"


@pytest.mark.parametrize("words", ["low-pass 2", "high-pass 3", "low-pass 4"])
def test_a_start_is_the_textbook_s(words):
    """Into its resistance the ladder has the slopes of the alignment (Butterworth)."""
    kind, order = words.split()
    frequency = np.geomspace(50.0, 20_000.0, 30)
    corner = dict(zip(("high-pass", "low-pass"), CORNERS, strict=True))[kind]
    high = None if kind == "high-pass" else corner
    section = PassFilter(kind, "butterworth", int(order), None if high else corner, high)
    load = np.full((1, 1, frequency.size), 1 / 8.0, dtype=complex)
    got = solve_network([start(words)], load, frequency).transfer[0]
    np.testing.assert_allclose(got, pass_response(section, frequency), rtol=1e-9)


@pytest.mark.parametrize("words", ["high-pass 2 + resistor", "high-pass 2 + attenuator"])
def test_a_driver_that_is_too_loud_begins_weaker(words):
    """Far above the corner a resistor in the way, or an attenuator, takes what is too much."""
    frequency = np.array([200_000.0])
    load = np.full((1, 1, 1), 1 / 8.0, dtype=complex)
    got = np.abs(solve_network([start(words, excess=6.0)], load, frequency).transfer[0, 0])
    assert 20 * np.log10(got) == pytest.approx(-6.0, abs=0.05)


def test_values_go_in_as_they_come_out():
    ladder = start("low-pass 2 + damping + trap across")
    values = values_of(ladder)
    other = with_values(ladder, 2 * values)
    np.testing.assert_allclose(values_of(other), 2 * values)
    assert [e.place for e in other] == [e.place for e in ladder]
    assert with_values(other, values) == ladder


def test_a_value_in_two_pieces_sounds_as_one():
    """Capacitors side by side and resistors one after the other add up."""
    ladder = start("high-pass 2 + resistor")
    split = in_pieces(ladder, [2.0, 1e-6, 0.0])
    frequency = np.geomspace(20.0, 20_000.0, 20)
    load = np.full((1, 1, frequency.size), 1 / 8.0, dtype=complex)
    one, two = (solve_network([each], load, frequency).transfer for each in (ladder, split))
    np.testing.assert_allclose(one, two, rtol=1e-12)
    assert (split[0].second_resistor, split[1].second_capacitor) == (2.0, 1e-6)
    assert split[2] == ladder[2]


@pytest.mark.parametrize("where", ["across", "in the way"])
@pytest.mark.parametrize(
    ("sections", "at"),
    [
        ("high-pass 2", 500.0),
        ("low-pass 2", 3000.0),
        ("high-pass 1 + low-pass 1", np.sqrt(500.0 * 3000.0)),
    ],
)
def test_a_trap_begins_in_the_middle_of_the_corners_it_has(where, sections, at):
    """1/(2π√(LC)), and Q = R√(C/L) = 3 side by side (any handbook of circuits)."""
    ladder = start(f"{sections} + trap {where}")
    (trap,) = (e for e in ladder if e.inductor is not None and e.capacitor is not None)
    assert 1 / (2 * np.pi * np.sqrt(trap.inductor * trap.capacitor)) == pytest.approx(at)
    assert trap.resistor * np.sqrt(trap.capacitor / trap.inductor) == pytest.approx(3.0)


def test_what_additions_begin_with():
    """By the words: R across that is the load, 1/(2ωR) with it; an eighth of the load in the trap.

    A resistor in the way takes the excess, R(10^(A/20) − 1), and an attenuator leaves the load as
    it is, R(1 − k) and Rk/(1 − k) (Ohm's law); each at least of 1 dB.
    """
    middle = 2 * np.pi * 3000.0
    *_, compensation = start("low-pass 2 + compensation")
    assert compensation.place == "across"
    assert compensation.resistor == pytest.approx(8.0)
    assert compensation.capacitor == pytest.approx(1 / (2 * middle * 8.0))
    coil, capacitor = start("low-pass 2 + damping")
    assert (coil.resistor, capacitor.resistor) == (None, 1.0)
    first, *_ = start("low-pass 2 + damping + resistor", excess=6.0)
    assert first.resistor == pytest.approx(8.0 * (10 ** (6.0 / 20) - 1))
    for excess, taken in ((0.2, 1.0), (1.7, 1.7)):
        resistor, *_ = start("high-pass 2 + resistor", excess)
        assert resistor.resistor == pytest.approx(8.0 * (10 ** (taken / 20) - 1))
        *_, one, other = start("high-pass 2 + attenuator", excess)
        k = 10 ** (-taken / 20)
        assert (one.resistor, other.resistor) == pytest.approx((8 * (1 - k), 8 * k / (1 - k)))


def test_a_trap_in_the_way_stands_before_all_else_with_its_parts_side_by_side():
    ladder = start("low-pass 1 + resistor + trap in the way + trap across", excess=3.0)
    assert [e.place for e in ladder] == ["series", "series", "series", "across"]
    (at,) = (n for n, e in enumerate(ladder[:3]) if e.capacitor is not None)
    assert ladder[at].joined == "side by side"
    assert ladder[3].joined == "one after the other"
    assert ladder[2].inductor is not None
    assert at < 2
    for trap in (ladder[at], ladder[3]):
        assert trap.resistor == pytest.approx(8.0)
        omega = 2 * np.pi * 3000.0
        assert trap.inductor == pytest.approx(8.0 / (3 * omega))
        assert trap.capacitor == pytest.approx(3 / (8.0 * omega))


def test_damping_goes_to_the_first_element_across():
    ladder = start("high-pass 4 + damping")
    assert [e.resistor for e in ladder] == [None, 1.0, None, None]


def test_values_of_each_kind_come_in_the_order_of_their_names():
    """Coil, capacitor, resistor of each element in turn, however the element names them."""
    ladder = start("low-pass 1 + trap across")
    assert kinds_of(ladder) == ("inductor", "inductor", "capacitor", "resistor")
    trap = ladder[1]
    assert values_of(ladder).tolist() == [
        ladder[0].inductor,
        trap.inductor,
        trap.capacitor,
        trap.resistor,
    ]


def test_pieces_of_each_kind_beside_coils():
    """A coil has no second piece and takes its number along; of a trap each part has its own."""
    ladder = start("low-pass 1 + trap across")
    split = in_pieces(ladder, [0.0, 0.0, 1e-7, 0.5])
    assert split[0] == ladder[0]
    trap, whole = split[1], ladder[1]
    assert trap.inductor == whole.inductor
    assert (trap.second_capacitor, trap.second_resistor) == (1e-7, 0.5)
    assert trap.capacitor == pytest.approx(whole.capacitor - 1e-7)
    assert trap.resistor == pytest.approx(whole.resistor - 0.5)
    assert in_pieces(ladder, [0.0] * 4) == ladder
