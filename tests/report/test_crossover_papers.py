"""Parts list, wiring table and the text about them, read back and solved anew."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.model import FrequencyGrid, Placement
from acoustics.case.design.network_model import Element
from acoustics.prediction import predict
from acoustics.report.crossover_papers import papers_text, write_papers
from acoustics.report.parts_list import parts_csv
from acoustics.report.wiring import polarity_words, wiring_csv
from support.cases import make_case
from support.crossovers import DESIGNS, LOW_PASS, passive_case
from support.free_field import solve_free_field

GRID = FrequencyGrid(25.0, 16_000.0, 3)
AMPLIFIER = Amplifier(power=50.0, into=8.0, lowest_impedance=3.0, resistance=0.2)  # 20 V


def predicted(case):
    return predict(case, solve=solve_free_field)


def rows(text):
    return list(csv.DictReader(io.StringIO(text, newline="")))


def number(cell):
    return float(cell) if cell else 0.0


def impedance(row, s):
    """Ohm of a part as the parts list has it."""
    own = number(row["of its own in series (ohm)"])
    if row["kind"] == "resistor":
        return own + number(row["resistance (ohm)"]) + 0 * s
    if row["kind"] == "capacitor":
        return own + 1 / (s * number(row["capacitance (uF)"]) * 1e-6)
    coil = s * number(row["inductance (mH)"]) * 1e-3
    core = number(row["core beside it (ohm)"])
    return own + (coil * core / (coil + core) if core else coil)


def joined(wiring):
    """Number of the node in which every terminal is, from the connections alone."""
    node = {}
    for row in wiring:
        ends = [(row["from"], row["from terminal"])]
        ends += [(row["to"], row["to terminal"])] if row["to"] else []
        old = {node[end] for end in ends if end in node}
        new = min(old, default=len(node))
        while new in set(node.values()) - old:
            new += 1
        node = {end: new if at in old else at for end, at in node.items()}
        node |= dict.fromkeys(ends, new)
    return node


def solved(case, wiring, parts):
    """Voltage from plus to minus of every driver and the input impedance, by a nodal solve."""
    node = joined(wiring)
    source, ground = node["amplifier", "plus (+)"], node["amplifier", "minus (−)"]
    order = sorted(set(node.values()) - {ground})
    place = {name: i for i, name in enumerate(order)}
    ohm = case.amplifier.resistance
    volts, seen = [], []
    for frequency in case.frequencies.values():
        s = 2j * np.pi * frequency
        y = np.zeros((len(order), len(order)), dtype=complex)

        def stamp(one, other, admittance, y=y):
            for a in (one, other):
                if a == ground:
                    continue
                y[place[a], place[a]] += admittance
                b = other if a == one else one
                if b != ground:
                    y[place[a], place[b]] -= admittance

        for row in parts:
            stamp(*(node[row["part"], f"end {n}"] for n in (1, 2)), 1 / impedance(row, s))
        for driver in case.drivers:
            ends = [node[driver.name, which] for which in ("plus (+)", "minus (−)")]
            stamp(*ends, 1 / driver.rated_impedance)
        y[place[source], place[source]] += 1 / ohm
        right = np.zeros(len(order), dtype=complex)
        right[place[source]] = 1 / ohm
        found = dict(zip(order, np.linalg.solve(y, right), strict=True)) | {ground: 0.0}
        volts.append(
            [
                found[node[driver.name, "plus (+)"]] - found[node[driver.name, "minus (−)"]]
                for driver in case.drivers
            ]
        )
        seen.append(found[source] / ((1 - found[source]) / ohm))
    return np.array(volts).T, np.array(seen)


@pytest.mark.parametrize("name", DESIGNS)
def test_the_tables_are_the_circuit(name):
    """Rebuilt from both tables alone, the circuit does what the prediction says it does."""
    case = replace(DESIGNS[name], frequencies=GRID, amplifier=AMPLIFIER)
    prediction = predicted(case)
    volts, seen = solved(case, rows(wiring_csv(case)), rows(parts_csv(case, prediction)))
    # The filter has the crossover's polarity in it, the terminals the driver's as well.
    own = np.array([-1.0 if driver.inverted else 1.0 for driver in case.drivers])
    filters = prediction["filter"].transpose("driver", "frequency").values
    # Values stand in the table to six digits.
    assert volts == pytest.approx(own[:, None] * filters, rel=1e-4, abs=1e-6)
    assert seen == pytest.approx(prediction.input_impedance.values, rel=1e-4)


def test_nodes_that_have_names_keep_them():
    case = DESIGNS["bridge, lattice and ladder"]
    text = " ".join(papers_text(case, predicted(case)).split())
    assert "Node a (driver 0): C1 end 2, damped L end 1, L1 end 1." in text
    assert "Node driver return (driver 1): lower coil of the lattice end 2, " in text
    assert "driver 0: plus (+) to the return, minus (−) to node driver (driver 0);" in text
    assert "driver 1: plus (+) to node driver (driver 1), minus (−) to node driver return" in text


def test_every_terminal_is_joined_once():
    case = DESIGNS["two ways"]
    node = joined(rows(wiring_csv(case)))
    parts = {of for of, which in node if which.startswith("end")}
    assert {(part, f"end {n}") for part in parts for n in (1, 2)} <= set(node)
    assert len(node) == 2 * len(parts) + 2 * len(case.drivers) + 2


PADDED = (
    (Element("series", resistor=8.0), Element("series", capacitor=4.7e-6)),
    (Element("across", resistor=6.0), Element("series", inductor=1e-3, resistance=0.5)),
)


def test_parts_to_buy():
    """6 ohm across 20 V take 66.7 W, and twice that is more than any usual resistor stands."""
    case = passive_case(*PADDED, amplifier=Amplifier(power=50.0, into=8.0))
    found = {row["part"]: row for row in rows(parts_csv(case, predicted(case)))}
    assert found["R1"]["driver"] == "driver 0"
    assert found["R1"]["resistance (ohm)"] == "8"
    assert found["C1"]["capacitance (uF)"] == "4.7"
    assert found["C1"]["rated voltage (V)"] == "50"
    assert found["C1"]["rated power (W)"] == ""
    assert found["L1"]["inductance (mH)"] == "1"
    assert found["L1"]["of its own in series (ohm)"] == "0.5"
    # 20 V through 6.5 ohm and 1 mH: pink noise loses what is above 1034 Hz (see test_ratings).
    a, b, corner = 20.0, 20_000.0, 6.5 / (2 * np.pi * 1e-3)
    left = np.log(b**2 * (corner**2 + a**2) / (a**2 * (corner**2 + b**2))) / 2 / np.log(b / a)
    assert float(found["L1"]["rms current (A)"]) == pytest.approx(
        20 / 6.5 * np.sqrt(left), rel=3e-3
    )
    # Its peaks are twice that, more than √2 times the sine's at the lowest frequency.
    assert float(found["L1"]["peak current (A)"]) == pytest.approx(
        2 * 20 / 6.5 * np.sqrt(left), rel=3e-3
    )
    assert found["R2"]["rated power (W)"] == "over 50"
    assert float(found["R2"]["average power (W)"]) == pytest.approx(400 / 6, rel=3e-3)
    text = papers_text(case, predicted(case))
    assert "More than resistors are usually rated for: R2 (133 W)" in text


def test_pieces_are_bought_and_joined_one_by_one():
    """Side by side 10 and 2.5 uF share a current 4 : 1; in a chain 6 and 2 ohm a voltage 3 : 1."""
    pad = Element("series", resistor=6.0, second_resistor=2.0)
    block = Element("series", capacitor=1e-5, second_capacitor=2.5e-6)
    case = passive_case((pad, block), amplifier=Amplifier(power=50.0, into=8.0))
    plain = passive_case(
        (Element("series", resistor=8.0), Element("series", capacitor=12.5e-6)),
        amplifier=Amplifier(power=50.0, into=8.0),
    )
    found, whole = (
        {row["part"]: row for row in rows(parts_csv(each, predicted(each)))}
        for each in (case, plain)
    )
    assert list(found) == ["R1 (a)", "R1 (b)", "C1 (a)", "C1 (b)"]

    def shares(key, *names):
        of = float(whole[names[0][:2]][key])
        return [float(found[name][key]) / of for name in names]

    assert shares("average power (W)", "R1 (a)", "R1 (b)") == pytest.approx([0.75, 0.25], rel=1e-3)
    assert shares("rms current (A)", "R1 (a)", "R1 (b)") == pytest.approx([1, 1], rel=1e-3)
    assert shares("rms current (A)", "C1 (a)", "C1 (b)") == pytest.approx([0.8, 0.2], rel=1e-3)
    assert shares("peak voltage of a sine (V)", "C1 (a)", "C1 (b)") == pytest.approx([1, 1])


def test_a_pair_takes_twice_the_parts():
    one = passive_case(*PADDED)
    pair = passive_case(*PADDED, placement=Placement(pair=True, spacing=2.0))
    for case, count, head in ((one, "1", "pieces"), (pair, "2", "pair")):
        found = rows(parts_csv(case, predicted(case)))
        assert {row["pieces for one loudspeaker"] for row in found} == {"1"}
        assert {row["pieces in all"] for row in found} == {count}
        table = papers_text(case, predicted(case)).splitlines()
        assert any(line.startswith("part") and line.endswith(head) for line in table)
    assert "Wiring (for each of the pair)" in papers_text(pair, predicted(pair))


def test_without_the_amplifiers_power_it_is_said():
    case = passive_case(*PADDED)
    text = " ".join(papers_text(case, predicted(case)).split())
    assert "those for 2.83 V alone: state amplifier.power before you buy" in text
    given = passive_case(*PADDED, amplifier=AMPLIFIER)
    assert "before you buy" not in papers_text(given, predicted(given))


@pytest.mark.parametrize(
    ("own", "branch", "plus", "why"),
    [
        (False, False, "node 1", "polarity normal"),
        (True, False, "the return", "as drivers.driver 0.polarity is inverted"),
        (False, True, "the return", "as crossover.driver 0.polarity is inverted"),
        (True, True, "node 1", "both inverted, which cancels"),
    ],
)
def test_polarity_is_that_of_driver_and_crossover_together(own, branch, plus, why):
    case = passive_case(LOW_PASS, inverted=(own,), turned=(branch,))
    line = polarity_words(case)[0]
    assert line.startswith(f"driver 0: plus (+) to {plus}, minus (−) to ")
    assert why in line


@pytest.mark.parametrize("name", DESIGNS)
def test_text_keeps_to_the_width(name):
    text = papers_text(DESIGNS[name], predicted(DESIGNS[name]))
    assert max(map(len, text.splitlines())) <= 88
    for caution in ("hold their charge", "away from wood, fibre", "right angles", "local codes"):
        assert caution in " ".join(text.split())


def test_names_out_of_files_are_text():
    """Names may hold anything a file can: a formula, commas, quotes, ends of lines."""
    names = ("=1+1", '@a, "b"')
    part = "-x\ny, z"
    case = passive_case((Element("series", resistor=1.0, name=part),), (), names=names)
    found = rows(parts_csv(case, predicted(case)))
    assert (found[0]["part"], found[0]["driver"]) == (f"'{part}", "'=1+1")
    ends = {row["to"] for row in rows(wiring_csv(case))} | {
        row["from"] for row in rows(wiring_csv(case))
    }
    assert {f"'{part}", "'=1+1", '\'@a, "b"', "amplifier"} == ends


def test_files(tmp_path):
    case = DESIGNS["two ways"]
    prediction = predicted(case)
    folder = tmp_path / "papers"
    names = write_papers(case, prediction, folder)
    assert names == ["parts.csv", "wiring.csv", "schematic.png", "schematic.svg"]
    assert sorted(path.name for path in folder.iterdir()) == sorted(names)
    first = [(folder / name).read_bytes() for name in names]
    write_papers(case, prediction, folder)
    assert [(folder / name).read_bytes() for name in names] == first


def test_without_a_passive_crossover_there_are_no_papers(tmp_path):
    case = make_case()
    assert write_papers(case, predicted(case), tmp_path / "none") == []
    assert not (tmp_path / "none").exists()
    assert papers_text(case, predicted(case)) == ""
