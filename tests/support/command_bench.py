"""A command, its case and the folder it writes, to be disturbed and run again."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from support.commands import Commands, Ended, files_of
from support.sweeps import CORNERS, DESIGN, OFFSETS

PLAIN = DESIGN.replace("[sweep]\n", "")
CASES = {
    "predict": PLAIN,
    "report": PLAIN,
    "sweep": DESIGN + OFFSETS + CORNERS,
    "tolerance": PLAIN + '\n[tolerance]\nbuilds = 6\nlevels = 0.5\near_height = "30 mm"\n',
}
KEPT = {"sweep": "blocks", "tolerance": "work"}
"""Commands that go on where they were, and the folder from which they do."""


class Bench:
    """A case, the folder that a command writes for it, and what that holds in the end."""

    def __init__(self, commands: Commands, place: Path, command: str) -> None:
        self.commands, self.command = commands, command
        self.case, self.out = place / "case.toml", place / "out"
        self._wholes: dict[str, tuple[int, dict[str, bytes]]] = {}

    def begin(self) -> None:
        """The design as it was at first, and nothing written of it."""
        self.case.write_text(CASES[self.command], encoding="utf-8")
        self.put({})

    def put(self, files: dict[str, bytes]) -> None:
        """These files in the folder, and no others."""
        shutil.rmtree(self.out, ignore_errors=True)
        for name, content in files.items():
            (self.out / name).parent.mkdir(parents=True, exist_ok=True)
            (self.out / name).write_bytes(content)

    def change(self) -> None:
        """From now on the design is another."""
        text = self.case.read_text(encoding="utf-8")
        self.case.write_text(text.replace("= 88.0", "= 87.0"), encoding="utf-8")

    def start(self, **how: Any) -> int:
        how = {"watched": self.out, **how}
        return self.commands.start(self.command, self.case, "--out", self.out, **how)

    def run(self, **how: Any) -> Ended:
        return self.commands.wait(self.start(**how))

    def whole(self) -> tuple[int, dict[str, bytes]]:
        """The steps of an undisturbed run into an empty folder, and its files, which are there."""
        design = self.case.read_text(encoding="utf-8")
        if design not in self._wholes:
            self.put({})
            ended = self.run()
            assert ended.code == 0, ended.stderr
            self._wholes[design] = ended.steps, files_of(self.out)
        steps, files = self._wholes[design]
        self.put(files)
        assert steps > len(files) > 0
        return steps, files

    def kept(self) -> set[str]:
        """Names of what is kept so far."""
        return {path.name for path in (self.out / KEPT[self.command]).rglob("*.npz")}
