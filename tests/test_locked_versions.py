"""Locked and lowest versions agree with what pyproject.toml asks for."""

from __future__ import annotations

import pytest
from packaging.utils import canonicalize_name
from packaging.version import Version

from support.requirements import ROOT, pinned, required, run_time

EXTRAS = ("test", "dev", "browser", "cluster", "cad", "bem")


@pytest.mark.parametrize("requirement", required(*EXTRAS), ids=str)
def test_the_lock_has_what_is_asked_for(requirement):
    locked = pinned("locked.txt")
    assert locked[canonicalize_name(requirement.name)] in requirement.specifier


def test_the_lock_has_what_that_brings():
    assert set(run_time()) <= set(pinned("locked.txt"))


def test_lowest_versions_are_the_bounds():
    bounds = {}
    for requirement in required("test"):
        (bound,) = requirement.specifier
        assert bound.operator == ">=", f"{requirement}: one lowest version, and no other bound"
        bounds[canonicalize_name(requirement.name)] = Version(bound.version)
    lowest = pinned("lowest.txt")
    assert {name: lowest.get(name) for name in bounds} == bounds


def test_other_lowest_versions_say_why():
    direct = {canonicalize_name(requirement.name) for requirement in required("test")}
    text = (ROOT / ".ci" / "lowest.txt").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    others = [line for line in lines if canonicalize_name(line.split("==")[0]) not in direct]
    assert all(len(line.partition("#")[2].split()) >= 4 for line in others), others


@pytest.mark.parametrize("name", ["locked.txt", "lowest.txt"])
def test_no_place_to_fetch_from_is_named(name):
    # Which index serves the packages is for who installs them to say.
    text = (ROOT / ".ci" / name).read_text(encoding="utf-8")
    assert "://" not in text
    assert "--" not in text.replace("--exclude roundover", "")
