"""Every package that the program needs at run time has a licence that is listed and allowed."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import Distribution

import pytest

from support.requirements import ROOT, run_time

LISTED = tomllib.loads((ROOT / ".ci" / "licences.toml").read_text(encoding="utf-8"))
ALLOWED = set(LISTED["allowed"])

FAMILIES = {
    "Apache Software License": "Apache",
    "BSD License": "BSD",
    "MIT License": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL",
    "Python Software Foundation License": "PSF",
}
"""Classifiers of the package index, and how the identifiers of such licences begin."""


def identifiers(expression: str) -> set[str]:
    """Licences and exceptions that an SPDX expression names."""
    return set(re.findall(r"[\w.+-]+", expression)) - {"AND", "OR", "WITH"}


def declared(distribution: Distribution) -> set[str]:
    """Beginnings of the identifiers that a package's own metadata names; no full text is read."""
    about = distribution.metadata
    for expression in (about.get("License-Expression"), about.get("License")):
        if expression and identifiers(expression) <= ALLOWED:
            return identifiers(expression)
    if about.get("License-Expression"):  # names what is not allowed
        return identifiers(about.get("License-Expression"))
    classifiers = [text.split(" :: ") for text in about.get_all("Classifier", [])]
    names = [parts[-1] for parts in classifiers if parts[0] == "License" and len(parts) == 3]
    return {FAMILIES.get(name, name) for name in names}


@pytest.mark.parametrize("name", sorted(run_time()))
def test_what_is_installed_is_listed_and_says_the_same(name):
    assert name in LISTED["packages"], f"{name}: look up its licence and list it"
    listed, said = identifiers(LISTED["packages"][name]), declared(run_time()[name])
    assert said, f"{name}: its metadata names no licence that is read here"
    for one in said:
        assert any(each.startswith(one) for each in listed), f"{name} says {one}"


@pytest.mark.parametrize("name", LISTED["packages"])
def test_what_is_listed_is_allowed(name):
    assert identifiers(LISTED["packages"][name]) <= ALLOWED


@pytest.mark.parametrize(
    ("about", "said"),
    [
        ("License-Expression: GPL-3.0-only\n", {"GPL-3.0-only"}),
        ("License-Expression: MIT OR Apache-2.0\n", {"MIT", "Apache-2.0"}),
        ("License: BSD\nClassifier: License :: OSI Approved :: BSD License\n", {"BSD"}),
        (
            "License: free\nClassifier: License :: OSI Approved :: Artistic License\n",
            {"Artistic License"},
        ),
        ("Summary: without any\n", set()),
    ],
)
def test_how_metadata_are_read(tmp_path, about, said):
    folder = tmp_path / "some-1.0.dist-info"
    folder.mkdir()
    (folder / "METADATA").write_text(f"Name: some\nVersion: 1.0\n{about}", encoding="utf-8")
    assert declared(Distribution.at(folder)) == said
