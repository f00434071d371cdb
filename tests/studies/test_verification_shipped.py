"""The shipped measurements of a finished loudspeaker are what the demonstration writes."""

from __future__ import annotations

import numpy as np
import pytest

import acoustics as ac
from acoustics.curves import read_curve
from acoustics.studies.verification.demonstration import MENDED_SEED, write_demonstration
from support.cases import CASES

FOLDER = CASES / "compact-passive" / "finished"
MENDED = CASES / "compact-passive" / "mended"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("shipped", "made"), [(FOLDER, {}), (MENDED, {"slip": {}, "seed": MENDED_SEED})]
)
def test_the_shipped_tables_are_what_the_demonstration_writes(shipped, made, tmp_path):
    files = write_demonstration(ac.read_case(CASES / "compact-passive"), tmp_path, **made)
    assert {path.name for path in files} == {path.name for path in shipped.glob("*.txt")}
    for path in files:
        kind = "impedance" if path.name == "terminals.txt" else "level"
        again, table = read_curve(path, kind), read_curve(shipped / path.name, kind)
        assert table.frequency == pytest.approx(again.frequency, rel=1e-6)
        # Another machine's arithmetic may round the last digit the other way.
        ratio = table.values / again.values
        assert np.abs(20 * np.log10(np.abs(ratio))).max() < 0.01
        assert np.degrees(np.abs(np.angle(ratio))).max() < 0.1


def test_the_readme_names_every_table():
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    for path in FOLDER.glob("*.txt"):
        assert f"`{path.name}`" in text
    assert {path.name for path in MENDED.iterdir()} == {path.name for path in FOLDER.glob("*.txt")}


def test_what_the_case_names_is_read_without_naming_it_again():
    readings = ac.read_readings(ac.read_case(CASES / "compact-passive"))
    names = [each.name for each in (*readings.responses, *readings.impedances)]
    assert names == ["axis", "30 degrees aside", "woofer alone", "tweeter alone", "terminals"]
    assert readings.notes == ()
