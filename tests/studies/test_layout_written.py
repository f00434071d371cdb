"""A layout that was found, written into a case and read again: places, corners, delays, edges."""

from __future__ import annotations

import pytest

from acoustics.case import read_case
from acoustics.case.design.model import Rounding
from acoustics.case.design.place_model import Delayed, Moved, Place, Treatment
from acoustics.conventions import RoundoverError
from acoustics.crossover.branch import branches_of
from acoustics.studies.layout_search import written_layout
from acoustics.studies.layout_search.crossovers import crossovers_of
from support.cases import CASES, shipped_text
from support.layouts import arranged, found_of

SLIGHTLY = Treatment("slightly", rounds=(("front left", 0.004), ("front right", 0.004)))

FIGURES = (1.0, 1.0, 1.0, 80.0)


@pytest.mark.parametrize("name", ["compact-centred", "compact-offset", "floorstander"])
def test_the_case_reads_back_as_the_layout(tmp_path, name):
    case = read_case(CASES / name)
    crossovers = crossovers_of(case)
    places = {each.name: (each.position[0] + 0.005, each.position[1]) for each in case.drivers}
    corners = tuple(1.1 * each.frequency for each in crossovers)
    best = arranged(
        0.0, 0.0, *FIGURES, positions=places, corners=corners,
        delays={"tweeter": 12e-6}, treatment=SLIGHTLY,
    )  # fmt: skip
    question = Place(
        moved=tuple(Moved(driver) for driver in places),
        corners=tuple((each / 2, each * 2) for each in corners),
        delays=(Delayed("tweeter", (0.0, 1e-4)),),
    )
    new = written_layout(case, found_of(best=best, question=question), tmp_path / "case.toml")
    for driver in new.drivers:
        assert driver.position == pytest.approx(places[driver.name])
    assert [each.frequency for each in crossovers_of(new)] == pytest.approx(corners, rel=1e-4)
    delays = {branch.driver: branch.delay for branch in branches_of(new)}
    assert delays["tweeter"] == pytest.approx(12e-6)
    assert new.cabinet.rounds == tuple(Rounding(*each) for each in SLIGHTLY.rounds)
    old = {branch.driver: branch for branch in branches_of(case)}
    for branch in branches_of(new):
        assert [type(each) for each in branch.sections] == [
            type(each) for each in old[branch.driver].sections
        ]
        assert branch.gain == old[branch.driver].gain
    # Files of the drivers are found from the new folder too.
    assert [each.sensitivity for each in new.drivers] == [each.sensitivity for each in case.drivers]


def test_measured_drivers_know_where_they_were_measured(tmp_path):
    case = read_case(CASES / "compact-measured")
    best = arranged(0.02, 0.125, *FIGURES)
    new = written_layout(case, found_of(best=best), tmp_path / "case.toml")
    assert new.measured_in is not None
    assert new.measured_in.driver("tweeter").position == case.driver("tweeter").position
    # The file alone takes the tables for measured in the new layout, as the summary warns.
    assert read_case(tmp_path).measured_in is None


def test_a_case_that_changed_meanwhile_is_not_used(tmp_path):
    file = tmp_path / "case.toml"
    file.write_text(shipped_text("compact-centred"), encoding="utf-8")
    case = read_case(file)
    text = shipped_text("compact-centred").replace('width = "220 mm"', 'width = "230 mm"')
    file.write_text(text, encoding="utf-8")
    with pytest.raises(RoundoverError, match="changed while the search was at work"):
        written_layout(case, found_of(), tmp_path / "new" / "case.toml")
    assert not (tmp_path / "new").exists()
