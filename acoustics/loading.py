"""Public names of a package that are loaded when first used, so that a command loads few files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def on_first_use(package: str, files: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """A package's `__getattr__` (PEP 562): from which file of `package` each name is loaded.

    Files are named below the package (`"design.model"`, `"studies.sweeps.run"`). A name that is
    also a file's own cannot be loaded so: the file hides it once it has been imported.

    Raises AttributeError, as any module does, for a name that no file has been given.
    """
    homes = {name: f"{package}.{file}" for file, names in files.items() for name in names}

    def load(name: str) -> Any:
        if name not in homes:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        return getattr(import_module(homes[name]), name)

    return load
