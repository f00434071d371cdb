"""A case written again with another crossover: comments, paths, the rest as it was."""

from __future__ import annotations

import pytest

from acoustics.case import read_case
from acoustics.case.design.network_model import Element
from acoustics.case.rewritten import with_passive_crossover
from support.cases import CASES

LADDERS = {
    "tweeter": (
        Element("series", resistor=4.7, second_resistor=0.47),
        Element("series", capacitor=10e-6, second_capacitor=2.2e-6, resistance=0.0123),
        Element("across", inductor=0.47e-3, resistance=0.3712, core_resistance=400.0),
        Element("series", 1e-4, 2.2e-6, 15.0, joined="side by side", name="trap"),
    ),
    "woofer": (Element("series", inductor=1.2e-3, resistance=0.4),),
}
TURNED = {"tweeter": True, "woofer": False}


def rewritten(name, folder):
    source = CASES / name / "case.toml"
    text = source.read_text(encoding="utf-8")
    new = with_passive_crossover(text, LADDERS, TURNED, "New title", (source.parent, folder))
    (folder / "case.toml").write_text(new, encoding="utf-8")
    return text, new, read_case(folder / "case.toml")


@pytest.mark.parametrize("name", ["compact-centred", "compact-passive"])
def test_the_new_case_is_the_old_one_with_the_new_parts(tmp_path, name):
    _, _, case = rewritten(name, tmp_path)
    old = read_case(CASES / name)
    assert case.title == "New title"
    assert (case.drivers, case.enclosures, case.seat) == (old.drivers, old.enclosures, old.seat)
    branches = {branch.driver: branch for branch in case.crossover}
    assert {name: branch.inverted for name, branch in branches.items()} == TURNED
    for driver, ladder in LADDERS.items():
        assert branches[driver].slopes == "passive"
        for got, want in zip(branches[driver].elements, ladder, strict=True):
            assert got.resistance == pytest.approx(want.resistance, rel=2e-3)
            for key in ("inductor", "capacitor", "second_capacitor", "second_resistor", "resistor"):
                assert getattr(got, key) == pytest.approx(getattr(want, key))
            assert (got.place, got.joined, got.name) == (want.place, want.joined, want.name)


def test_comments_stay(tmp_path):
    text, new, _ = rewritten("compact-centred", tmp_path)
    comments = [line for line in text.splitlines() if line.lstrip().startswith("# ")]
    assert comments
    assert all(comment in new for comment in comments)


def test_sweeps_of_the_old_crossover_are_left_out(tmp_path):
    text, new, case = rewritten("compact-sweep", tmp_path)
    assert "[[sweep." in text
    assert "[[sweep." not in new
    assert case.sweep is None


def test_written_again_it_says_the_same(tmp_path):
    _, new, _ = rewritten("compact-centred", tmp_path)
    again = with_passive_crossover(new, LADDERS, TURNED, "New title", (tmp_path, tmp_path))
    assert again == new
