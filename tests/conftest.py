"""Shared by all rooms: designs made by hand and stand-ins for the field solver."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from support import cases, free_field
from support.browser import chromium

# Equal input, equal outcome: what is drawn at random is drawn alike in every run.
settings.register_profile("seeded", derandomize=True)
settings.load_profile("seeded")

pytest_plugins = (
    "pytester",
    "support.kept_bytecode",
    "support.kernels_first",
    "support.left_out",
    "support.quick_collection",
    "support.two_processes",
)


@pytest.fixture(scope="session")
def make_case() -> Callable[..., Any]:
    """`make_case(drivers=None, **changes) -> Case`, see support/cases.py."""
    return cases.make_case


@pytest.fixture(scope="session")
def make_driver() -> Callable[..., Any]:
    """`make_driver(name, y=0.0, **changes) -> Driver`."""
    return cases.make_driver


@pytest.fixture(scope="session")
def pass_branch() -> Callable[..., Any]:
    """`pass_branch(driver, kind, corner, alignment=, order=, **changes) -> Branch`."""
    return cases.pass_branch


@pytest.fixture(scope="session")
def solve_free_field() -> Callable[..., Any]:
    """A stand-in for `solve_field`: point sources in free space."""
    return free_field.solve_free_field


@pytest.fixture(scope="session")
def solve_baffled_piston() -> Callable[..., Any]:
    """A stand-in for `solve_field`: far field of pistons in an infinite baffle."""
    return free_field.solve_baffled_piston


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Headless Chromium; of one file each, because while it runs no other event loop can."""
    with chromium() as one:
        yield one


@pytest.fixture(scope="session")
def reference() -> Callable[[str], Any]:
    """`reference(name)`: the check values of tests/reference/<name>.json, with their source."""
    folder = Path(__file__).parent / "reference"
    return lambda name: json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
