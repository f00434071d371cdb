"""Data goes one way: a room imports only from rooms above it (earlier in this list)."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "acoustics"

LADDER = (
    "loading",
    "conventions",
    "files",
    "folders",
    "seal",
    "weighed",
    "foreign",
    "cabinet",
    "driver",
    "curves",
    "case",
    "field",
    "room",
    "source",
    "structure",
    "crossover",
    "prediction",
    "storage",
    "listening",
    "measurement",
    "studies",
    "figures",
    "report",
    "page",
    "cli",
)

INSIDE = {
    "case": (
        "text",
        "design",
        "tables",
        "geometry",
        "messages",
        "files",
        "objects",
        "checks",
        "build",
        "read",
        "rewritten",
        "varied",
    ),
    "studies": (
        "labels",
        "reasons",
        "remembered",
        "wording",
        "workers",
        "kept_files",
        "board_words",
        "compatibility",
        "driver_map",
        "measure",
        "box",
        "structure",
        "papers",
        "yardsticks",
        "drawings",
        "layout_search",
        "live",
        "crossover_fit",
        "crossover_start",
        "sweeps",
        "tolerance",
        "verification",
        "build_pairs",
        "comparison",
    ),
    "studies/verification": (
        "readings",
        "bench",
        "enclosures",
        "fault",
        "faults",
        "misfit",
        "strays",
        "healthy",
        "aims",
        "crossings",
        "diagnosis",
        "study",
        "whole",
        "demonstration",
    ),
}
"""The ladders inside the largest rooms."""

FILES = sorted(path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "__init__.py")


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).with_suffix("").parts[0]


def imported(source: str, package: str) -> Iterator[tuple[int, list[str]]]:
    """Line and parts of the name of every import from the package, without its own name."""
    for node in ast.walk(ast.parse(source)):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            module = node.module or ""
            if node.level:
                base = package.split(".")[: len(package.split(".")) - node.level + 1]
                module = ".".join([*base, module] if module else base)
            names = [module]
            if module == "acoustics":
                # `from acoustics import case` names a room, `from acoustics import Air` does not.
                names = [
                    f"acoustics.{alias.name}" if alias.name in LADDER else module
                    for alias in node.names
                ]
        for name in names:
            parts = name.split(".")
            if parts[0] == "acoustics":
                yield node.lineno, parts[1:]


def imported_rooms(source: str, package: str) -> Iterator[tuple[int, str]]:
    """Line and room of every import; the front door counts as a room ""."""
    for line, parts in imported(source, package):
        yield line, parts[0] if parts else ""


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_come_from_above(path):
    room = room_of(path)
    assert room in LADDER, f"{room} is no room of the house; put it into the ladder"
    package = ".".join(path.relative_to(ROOT).with_suffix("").parts[:-1])
    upward = [
        f"line {line}: {room} imports {other or 'the front door'}"
        for line, other in imported_rooms(path.read_text(encoding="utf-8"), package)
        if other not in LADDER[: LADDER.index(room) + 1]
    ]
    assert not upward


@pytest.mark.parametrize("room", INSIDE)
def test_inside_large_rooms_too(room):
    inside, ladder, prefix = PACKAGE / room, INSIDE[room], room.split("/")
    upward = []
    for path in sorted(inside.rglob("*.py")):
        own = path.relative_to(inside).with_suffix("").parts[0]
        if own == "__init__":
            continue
        above = ladder[: ladder.index(own) + 1]
        package = ".".join(path.relative_to(ROOT).parts[:-1])
        for line, parts in imported(path.read_text(encoding="utf-8"), package):
            other = parts[len(prefix) : len(prefix) + 1]
            if parts[: len(prefix)] == prefix and other not in [[each] for each in above]:
                upward.append(f"{path.relative_to(inside)}:{line} imports {'.'.join(other)}")
    assert not upward


@pytest.mark.parametrize(
    ("source", "package", "rooms"),
    [
        ("from acoustics.report import summary", "acoustics.cli", ["report"]),
        ("import acoustics.field.solve", "acoustics.cli", ["field"]),
        ("from acoustics import Air", "acoustics.cli", [""]),
        ("from acoustics import case", "acoustics.cli", ["case"]),
        ("from ..figures import style", "acoustics.report", ["figures"]),
        ("from .style import key", "acoustics.figures", ["figures"]),
        ("def f():\n    from acoustics.cli.main import main", "acoustics.case", ["cli"]),
        ("import numpy", "acoustics.case", []),
    ],
)
def test_every_way_to_import_is_seen(source, package, rooms):
    assert [room for _, room in imported_rooms(source, package)] == rooms


def test_every_package_is_installed():
    listed = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]["packages"]
    there = {".".join(path.parent.relative_to(ROOT).parts) for path in PACKAGE.rglob("*.py")}
    assert set(listed) == there
    assert all((ROOT.joinpath(*name.split(".")) / "__init__.py").is_file() for name in there)
