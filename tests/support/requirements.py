"""What the project asks of other packages, and what is installed of them."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

ROOT = Path(__file__).parents[2]


def required(*extras: str) -> list[Requirement]:
    """What pyproject.toml names for the program, and for some extras; not the project itself."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    texts = [*project["dependencies"]]
    for extra in extras:
        texts += project["optional-dependencies"][extra]
    found = [Requirement(text) for text in texts]
    return [each for each in found if each.name != project["name"]]


def pinned(name: str) -> dict[str, Version]:
    """Package → version of a file of constraints in .ci; a line that pins nothing is an error."""
    text = (ROOT / ".ci" / name).read_text(encoding="utf-8")
    lines = [line.partition("#")[0].strip() for line in text.splitlines()]
    pairs = [line.split("==") for line in lines if line]
    return {canonicalize_name(package): Version(version) for package, version in pairs}


@cache
def run_time() -> dict[str, metadata.Distribution]:
    """Every installed package that the program needs, directly or by way of another."""
    waiting, found = required(), {}
    while waiting:
        one = waiting.pop()
        name = canonicalize_name(one.name)
        if name in found:
            continue
        found[name] = metadata.distribution(name)
        theirs = [Requirement(text) for text in found[name].requires or ()]
        waiting += [each for each in theirs if _counts(each, one.extras)]
    return found


def _counts(requirement: Requirement, extras: set[str]) -> bool:
    marker = requirement.marker
    return marker is None or any(marker.evaluate({"extra": extra}) for extra in extras or {""})
