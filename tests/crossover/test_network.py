"""Passive networks against textbook ladders and circuit identities.

Ladders: singly terminated prototypes (Zverev, Handbook of Filter Synthesis, 1967; Matthaei, Young &
Jones; from memory), scaled to 8 ohm; transfers are those of the filters in s.
"""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.network_model import Element
from acoustics.case.design.network_parts import parts_of
from acoustics.crossover import solve_network

OHM = 8.0
ROOT = np.sqrt(2)

LADDERS = {
    # name: corner, low-pass L1 C2 L3 C4, high-pass C1 L2 C3 L4 in mH and uF
    "BW2": (3000.0, (0.600210877, 4.68914748), (4.68914748, 0.600210877)),
    "LR2": (3000.0, (0.848826363, 3.31572798), (3.31572798, 0.848826363)),
    "BW3": (
        3000.0,
        (0.636619772, 8.84194128, 0.212206591),
        (4.42097064, 0.318309886, 13.2629119),
    ),
    "LR4": (
        2500.0,
        (0.960337404, 12.6606982, 0.480168702, 2.81348849),
        (4.22023273, 0.320112468, 8.44046546, 1.44050611),
    ),
    "BW1": (2000.0, (0.636619772,), (9.94718394,)),
}
INPUT = {
    # at the corner, ohm, low-pass; the high-pass has its conjugate
    "BW2": 5.33333333 + 7.54247233j,
    "LR2": 6.4 + 12.8j,
    "BW3": 4.23529412 + 7.05882353j,
    "LR4": 3.55555556 + 10.0566298j,
    "BW1": 8 + 8j,
}
IN_S = {
    "BW2": lambda s: 1 / (s**2 + ROOT * s + 1),
    "LR2": lambda s: 1 / (s + 1) ** 2,
    "BW3": lambda s: 1 / ((s + 1) * (s**2 + s + 1)),
    "LR4": lambda s: 1 / (s**2 + ROOT * s + 1) ** 2,
    "BW1": lambda s: 1 / (s + 1),
}


def ladder(values, kinds):
    scale = {"inductor": 1e-3, "capacitor": 1e-6}
    return [
        Element("series" if n % 2 == 0 else "across", **{kind: value * scale[kind]})
        for n, (value, kind) in enumerate(zip(values, kinds, strict=False))
    ]


def low_pass(name):
    return ladder(LADDERS[name][1], ("inductor", "capacitor") * 2)


def high_pass(name):
    return ladder(LADDERS[name][2], ("capacitor", "inductor") * 2)


def resistors(frequency, *ohm):
    """Loads that do not know of each other."""
    return np.eye(len(ohm))[:, :, None] / np.array(ohm)[:, None, None] + 0j * frequency


@pytest.mark.parametrize("name", LADDERS)
def test_ladders_are_the_filters_of_the_textbooks(name):
    corner = LADDERS[name][0]
    f = corner * np.array([0.5, 1.0, 2.0])
    both = [low_pass(name), high_pass(name)]
    for one, s in zip(both, (1j * f / corner, corner / (1j * f)), strict=True):
        found = solve_network([one], resistors(f, OHM), f)
        np.testing.assert_allclose(found.transfer[0], IN_S[name](s), rtol=1e-6, atol=1e-8)
        at_corner = found.input_impedance[1]
        expected = INPUT[name] if one is both[0] else np.conj(INPUT[name])
        assert at_corner == pytest.approx(expected, rel=1e-6)
    # Without resistance before them, two ladders do not know of each other.
    found = solve_network(both, resistors(f, OHM, OHM), f)
    np.testing.assert_allclose(found.transfer[0], IN_S[name](1j * f / corner), rtol=1e-6, atol=1e-8)


def butterworth(order):
    """Singly terminated prototype from the resistor of 1 ohm on: shunt C, series L, and so on.

    Matthaei, Young & Jones, Microwave Filters, 1964, section 4.06; from memory.
    """
    a = [np.sin((2 * k - 1) * np.pi / (2 * order)) for k in range(1, order + 1)]
    c = [np.cos(k * np.pi / (2 * order)) ** 2 for k in range(1, order + 1)]
    g = [a[0]]
    for k in range(1, order):
        g.append(a[k] * a[k - 1] / (c[k - 1] * g[-1]))
    return g


def butterworth_poles(order):
    return [np.exp(1j * np.pi * (2 * k + order - 1) / (2 * order)) for k in range(1, order + 1)]


LINKWITZ_RILEY = {2: (0.5, 2.0), 4: (ROOT / 4, 2 * ROOT / 3, 9 * ROOT / 8, 4 * ROOT / 3)}
"""Likewise, from the resistor on: continued fractions of (s + 1)² and (s² + √2 s + 1)²."""


@pytest.mark.parametrize("high", [False, True], ids=["low-pass", "high-pass"])
@pytest.mark.parametrize(
    ("name", "order"), [("BW", 2), ("BW", 3), ("BW", 4), ("BW", 6), ("LR", 2), ("LR", 4)]
)
def test_networks_of_the_formulas_are_the_filters(name, order, high):
    """Frequencies over four octaves round the corner, complex transfers against those in s."""
    corner = 1800.0
    omega = 2 * np.pi * corner
    g = butterworth(order) if name == "BW" else LINKWITZ_RILEY[order]
    rungs = []
    for number, value in enumerate(g):
        value = 1 / value if high else value
        # Next to the load stands a part across where the order is even.
        place = "across" if (number + order) % 2 == 0 else "series"
        coil = (place == "series") != high
        kinds = {"inductor": value * OHM / omega} if coil else {"capacitor": value / omega / OHM}
        rungs.insert(0, Element(place, **kinds))
    f = corner * np.geomspace(0.25, 4.0, 17)
    s = 1j * f / corner
    s = 1 / s if high else s
    poles = butterworth_poles(order) if name == "BW" else 2 * butterworth_poles(order // 2)
    expected = 1 / np.prod([s - pole for pole in poles], axis=0)
    found = solve_network([rungs], resistors(f, OHM), f).transfer[0]
    np.testing.assert_allclose(found, expected, rtol=1e-9)
    if name == "BW":
        np.testing.assert_allclose(
            np.abs(found) ** 2, 1 / (1 + np.abs(s) ** (2 * order)), rtol=1e-9
        )


def test_some_transfers_as_numbers():
    """The same targets written out: second-order Butterworth and fourth-order Linkwitz-Riley."""
    f = np.array([1500.0, 3000.0, 6000.0])
    found = solve_network([low_pass("BW2")], resistors(f, OHM), f).transfer[0]
    expected = [0.705882353 - 0.665512265j, -0.707106781j, -0.176470588 - 0.166378066j]
    np.testing.assert_allclose(found, expected, rtol=1e-6, atol=1e-8)
    f = np.array([1250.0, 2500.0, 5000.0])
    found = solve_network([high_pass("LR4")], resistors(f, OHM), f).transfer[0]
    expected = [0.00346020761 - 0.0587216704j, -0.5, 0.0553633218 + 0.939546727j]
    np.testing.assert_allclose(found, expected, rtol=1e-6, atol=1e-8)


@pytest.mark.parametrize(
    ("resistance", "inductance", "capacitance"),
    [(6.2, 0.5e-3, 13.0072841e-6), (5.6, 0.05e-3, 1.59438776e-6)],
)
def test_impedance_compensation_leaves_a_resistor(resistance, inductance, capacitance):
    """R = R_e and C = L_e/R_e² beside a voice coil give R_e at every frequency: an identity."""
    f = np.geomspace(20.0, 20_000.0, 30)
    coil = 1 / (resistance + 2j * np.pi * f * inductance)[None, None]
    beside = [Element("across", resistor=resistance, capacitor=capacitance)]
    found = solve_network([beside], coil, f).input_impedance
    np.testing.assert_allclose(found, resistance, rtol=1e-6, atol=1e-6)


@pytest.mark.parametrize(
    ("load", "decibels", "series", "across"),
    [
        (8.0, 3.0, 2.33643372, 19.3921744),
        (8.0, 6.0, 3.99050213, 8.0380819),
        (4.0, 2.0, 0.822687061, 15.4484644),
    ],
)
def test_a_pad_weakens_and_leaves_the_impedance(load, decibels, series, across):
    """R_s = Z(1 − k), R_p = Zk/(1 − k), k = 10^(−A/20): an identity."""
    f = np.array([1000.0])
    pad = [Element("series", resistor=series), Element("across", resistor=across)]
    found = solve_network([pad], resistors(f, load), f)
    assert found.transfer[0, 0] == pytest.approx(10 ** (-decibels / 20), rel=1e-6)
    assert found.input_impedance[0] == pytest.approx(load, rel=1e-6)


TRAP = {"inductor": 0.33e-3, "capacitor": 10e-6, "resistance": 0.5}
RESONANCE = 2770.53194  # 1/(2π√(LC))


def test_a_trap_across_is_its_resistance_at_resonance():
    f = np.array([RESONANCE, 2 * RESONANCE])
    trap = [Element("across", **TRAP)]
    found = solve_network([trap], 0j * resistors(f, OHM), f).input_impedance
    np.testing.assert_allclose(found, [0.5, 0.5 + 8.61684397j], rtol=1e-6, atol=1e-6)


def test_a_trap_in_the_way_with_a_resistor_beside_it():
    """Y = 1/R + jωC + 1/(r + jωL), written out."""
    f = np.geomspace(100.0, 20_000.0, 20)
    s = 2j * np.pi * f
    element = Element("series", **TRAP, resistor=4.7, joined="side by side")
    y = 1 / 4.7 + s * 10e-6 + 1 / (0.5 + s * 0.33e-3)
    found = solve_network([[element]], resistors(f, OHM), f)
    np.testing.assert_allclose(found.transfer[0], OHM / (OHM + 1 / y), rtol=1e-9)
    np.testing.assert_allclose(found.part_current.sum(axis=0), found.load_current[0], rtol=1e-9)
    np.testing.assert_allclose(found.part_voltage[0], 1 - found.transfer[0], rtol=1e-9)


def test_traps_without_losses_are_a_short_and_an_open_circuit():
    f = np.array([1.0 / (2 * np.pi)])  # ω = 1: 1 H and 1 F cancel to the last digit
    trap = {"inductor": 1.0, "capacitor": 1.0}
    short = solve_network(
        [[Element("series", resistor=3.0), Element("across", **trap)]], resistors(f, OHM), f
    )
    assert abs(short.transfer[0, 0]) < 1e-12
    assert short.input_impedance[0] == pytest.approx(3.0)
    stop = solve_network([[Element("series", **trap, joined="side by side")]], resistors(f, OHM), f)
    assert abs(stop.transfer[0, 0]) < 1e-12
    assert abs(stop.part_voltage[0, 0]) == pytest.approx(1.0)


def test_a_core_loses_beside_the_inductance():
    f = np.array([1000.0])
    coil = Element("series", inductor=1e-3, resistance=0.3, core_resistance=100.0)
    s = 2j * np.pi * f
    z = 0.3 + s * 1e-3 * 100 / (100 + s * 1e-3)
    found = solve_network([[coil]], resistors(f, OHM), f)
    assert found.transfer[0] == pytest.approx(OHM / (OHM + z), rel=1e-12)


def two_way():
    tweeter = [
        Element("series", capacitor=5.6e-6, resistance=0.05),
        Element("across", inductor=0.27e-3, resistance=0.2, core_resistance=300.0),
        Element("series", resistor=2.2),
        Element("across", resistor=10.0),
        Element("across", resistor=8.2, capacitor=3.3e-6),
        Element("series", inductor=0.5e-3, capacitor=10e-6, resistor=4.7, joined="side by side"),
    ]
    woofer = [
        Element("series", inductor=1.2e-3, resistance=0.4),
        Element("across", capacitor=12e-6, resistor=1.0),
    ]
    return [tweeter, woofer]


def loads(f):
    """Two drivers of one box: coils, resonances, and what each moves in the other."""
    s = 2j * np.pi * f
    answer = np.zeros((2, 2, f.size), dtype=complex)
    for n, (resistance, coil, peak, at) in enumerate(
        ((5.6, 5e-5, 12.0, 900.0), (5.7, 3e-4, 60, 55))
    ):
        answer[n, n] = 1 / (
            resistance + s * coil + peak / (1 + 3 * (s / 2 / np.pi / at + at * 2 * np.pi / s))
        )
    answer[0, 1] = answer[1, 0] = 0.01 / (1 + s / 2000)
    return answer


def test_the_power_that_goes_in_is_used_up():
    f = np.geomspace(20.0, 20_000.0, 50)
    resistance = 0.15
    found = solve_network(two_way(), loads(f), f, resistance)
    supplied = 1 / (resistance + found.input_impedance)
    into = supplied.real  # of a source of 1 V
    parts = (found.part_voltage * found.part_current.conj()).real
    drivers = (found.transfer * found.load_current.conj()).real
    used = parts.sum(axis=0) + drivers.sum(axis=0) + resistance * np.abs(supplied) ** 2
    np.testing.assert_allclose(used, into, rtol=1e-9)
    # Only what has resistance uses any.
    lossy = np.array([p.kind == "resistor" or p.resistance > 0 for p in found.parts])
    assert np.abs(parts[~lossy]).max() < 1e-15
    assert parts[lossy].min() > 0


def test_resistance_before_them_couples_the_branches():
    f = np.geomspace(20.0, 20_000.0, 50)
    apart = [solve_network([one], loads(f)[[n]][:, [n]], f) for n, one in enumerate(two_way())]
    alone = loads(f) * np.eye(2)[:, :, None]
    together = solve_network(two_way(), alone, f)
    for n in range(2):
        np.testing.assert_allclose(together.transfer[n], apart[n].transfer[0], rtol=1e-9)
    seen = 1 / sum(1 / each.input_impedance for each in apart)
    np.testing.assert_allclose(together.input_impedance, seen, rtol=1e-9)
    behind = solve_network(two_way(), alone, f, 0.5)
    divided = seen / (seen + 0.5)
    np.testing.assert_allclose(behind.transfer, divided * together.transfer, rtol=1e-9)
    np.testing.assert_allclose(behind.input_impedance, seen, rtol=1e-9)


def test_without_parts_a_driver_hangs_on_the_amplifier():
    f = np.array([100.0, 1000.0])
    found = solve_network([[], []], resistors(f, 8.0, 4.0), f, 0.1)
    seen = 1 / (1 / 8 + 1 / 4)
    np.testing.assert_allclose(found.input_impedance, seen, rtol=1e-12)
    np.testing.assert_allclose(found.transfer, seen / (seen + 0.1), rtol=1e-12)
    assert found.parts == ()


def test_parts_are_counted_over_all_ladders():
    named = Element("across", resistor=1.0, capacitor=1e-6, name="trap")
    first = [Element("series", capacitor=1e-6), named, Element("series", resistor=2.0, name="R1")]
    second = [Element("series", inductor=1e-3), Element("across", resistor=1.0, capacitor=2e-6)]
    names = [part.name for part in parts_of([first, second])]
    assert names == ["C1", "trap C", "trap R", "R1", "L1", "C2", "R2"]
    (wire,) = (part for part in parts_of([[Element("series", **TRAP)]]) if part.resistance)
    assert wire.kind == "inductor"


def test_a_current_that_something_else_makes_in_a_load_is_that_of_a_source_beside_it():
    # Thévenin: u = (1 − R·i)/(1 + R·Y), R all resistance before the load (any textbook).
    y, made, before = 0.1 - 0.02j, 0.03 + 0.01j, 3.5
    found = solve_network(
        [[Element("series", resistor=3.0)]],
        np.array([[[y]]]),
        np.array([500.0]),
        resistance=0.5,
        induced=np.array([[made]]),
    )
    volts = (1 - before * made) / (1 + before * y)
    assert found.transfer[0, 0] == pytest.approx(volts)
    assert found.load_current[0, 0] == pytest.approx(y * volts + made)
    assert found.part_current[0, 0] == pytest.approx(y * volts + made)
    assert found.input_impedance[0] == pytest.approx(3.0 + 1 / y)


def test_ladders_and_loads_must_be_as_many():
    f = np.array([100.0])
    with pytest.raises(ValueError, match="zip"):
        solve_network([[Element("series", resistor=1.0)]], resistors(f, 8.0, 8.0), f)


def test_parts_side_by_side_beside_a_chain_before_two_drivers():
    """By Ohm's law: 2 ‖ 6 ohm before 4 ohm, and 3 + 5 ohm across the other driver of 8 ohm."""
    f = np.array([1e-9])  # coils are wires, and what is left is resistors
    first = [Element("series", resistor=6.0), Element("series", resistor=2.0)]
    second = [Element("across", resistor=8.0)]
    both = solve_network([first, second], resistors(f, 4.0, 8.0), f, resistance=1.0)
    # 12 ohm beside 4 ohm are 3 ohm; behind 1 ohm they have three quarters of the voltage.
    assert both.input_impedance[0] == pytest.approx(3.0)
    assert both.transfer[:, 0] == pytest.approx([0.25, 0.75])
    assert both.load_current[:, 0] == pytest.approx([0.25 / 4, 0.75 / 8])
    assert both.part_voltage[:, 0] == pytest.approx([0.375, 0.125, 0.75])
    assert both.part_current[:, 0] == pytest.approx([0.0625, 0.0625, 0.09375])
    beside = [Element("series", resistor=6.0, inductor=1e9, joined="side by side")]
    found = solve_network([beside], resistors(f, 2.0), f)
    share = 6.0 * 2j * np.pi / (6.0 + 2j * np.pi)  # ωL is 2π ohm
    assert found.transfer[0, 0] == pytest.approx(2.0 / (2.0 + share))
    assert found.part_current[:, 0].sum() == pytest.approx(found.load_current[0, 0])
    assert found.part_voltage[:, 0] == pytest.approx([1 - found.transfer[0, 0]] * 2)


def test_currents_that_are_induced_in_two_drivers_at_once():
    """Each behind its own resistor and all behind a common one: Kirchhoff, written out."""
    f = np.array([300.0])
    made = np.array([[0.02 + 0.01j], [-0.03]])
    load = np.array([[0.2, 0.01], [0.01, 0.1]]) + 0j
    found = solve_network(
        [[Element("series", resistor=2.0)], [Element("series", resistor=5.0)]],
        load[..., None],
        f,
        resistance=0.5,
        induced=made,
    )
    series = np.diag([2.0, 5.0]) + 0.5  # ohm: own and common
    volts = np.linalg.solve(np.eye(2) + series @ load, np.ones((2, 1)) - series @ made)
    np.testing.assert_allclose(found.transfer, volts, rtol=1e-12)
    np.testing.assert_allclose(found.load_current, load @ volts + made, rtol=1e-12)
    np.testing.assert_allclose(found.part_current, load @ volts + made, rtol=1e-12)
    alone = solve_network(
        [[Element("series", resistor=2.0)], [Element("series", resistor=5.0)]],
        load[..., None],
        f,
        resistance=0.5,
    )
    np.testing.assert_allclose(found.input_impedance, alone.input_impedance, rtol=1e-12)


def test_a_near_short_from_the_amplifier_straight_to_ground_takes_its_current():
    """0.001 ohm across 0.5 ohm of source, its current 1/0.501 A; the driver has what is left."""
    f = np.array([1000.0])
    found = solve_network([[Element("across", resistor=1e-3)]], resistors(f, 1e6), f, 0.5)
    assert found.part_current[0, 0] == pytest.approx(1 / 0.501, rel=1e-8)
    assert found.transfer[0, 0] == pytest.approx(1e-3 / 0.501, rel=1e-8)
    assert found.input_impedance[0] == pytest.approx(1e-3, rel=1e-8)


def test_a_current_that_is_induced_in_a_driver_right_at_the_amplifier():
    """Thévenin as above, with the amplifier's resistance alone before the driver."""
    y, made, ohm = 0.1 - 0.02j, 0.03 + 0.01j, 0.5
    f = np.array([500.0])
    found = solve_network([[]], np.array([[[y]]]), f, resistance=ohm, induced=np.array([[made]]))
    volts = (1 - ohm * made) / (1 + ohm * y)
    assert found.transfer[0, 0] == pytest.approx(volts)
    assert found.load_current[0, 0] == pytest.approx(y * volts + made)
