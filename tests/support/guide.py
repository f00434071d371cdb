"""A guide of commands: what each prints is quoted in part beside it, and what it draws shown."""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from click.testing import CliRunner

from acoustics.cli.main import main

BLOCK = re.compile(r"^```sh\n(.*?)^```\n(?:\n```text\n(.*?)^```\n)?", re.MULTILINE | re.DOTALL)
PICTURE = re.compile(r"^!\[[^\]]+\]\(([^)]+\.png)\)\n\n\*`([^`]+)`", re.MULTILINE)
LEFT_OUT = "…"
"""A line of its own, for lines of the output that are not quoted."""

NUMBER = re.compile(r"(?<![\w.])[−+-]?\d+(?:\.\d+)?")
UNITS_OF_LAST_DIGIT, SHARE = 2.0, 0.01
"""A number may differ by two units of the last digit quoted or by 1 %, whichever is more: other
processors round otherwise, and what is told after a search or a fit of strays moves by as much."""


@dataclass(frozen=True)
class Step:
    """Commands of one block, and the passages of their output that are quoted."""

    lines: tuple[str, ...]
    quoted: tuple[str, ...]

    @property
    def out(self) -> str:
        """The folder the last command writes to; empty if none."""
        words = shlex.split(self.lines[-1])
        return words[words.index("--out") + 1] if "--out" in words else ""


def steps_of(text: str) -> list[Step]:
    """Every block of commands of a guide."""
    return [
        Step(tuple(lines.splitlines()), tuple(_passages(quoted or "")))
        for lines, quoted in BLOCK.findall(text)
    ]


def pictures_of(text: str) -> list[tuple[str, str]]:
    """Of every picture the file in the guide, and the one that a command writes."""
    return PICTURE.findall(text)


def output_of(step: Step) -> str:
    """What a step prints, run in the working folder as a person would."""
    printed = ""
    for line in step.lines:
        words = shlex.split(line)
        if words[0] == "cp":
            _copy(words[1:])
            continue
        assert words[0] == "roundover", line
        result = CliRunner().invoke(main, words[1:])
        assert result.exit_code == 0, result.output
        printed += result.stdout
    return printed


def misquoted(step: Step, printed: str) -> list[str]:
    """Passages that are not in the output in this order, numbers within their tolerance.

    Where lines break does not count, for it moves with the length of numbers.
    """
    start, missing = 0, []
    for passage in step.quoted:
        end = _end_of(passage, printed, start)
        if end is None:
            missing.append(passage)
        else:
            start = end
    return missing


def _passages(quoted: str) -> Iterator[str]:
    passage: list[str] = []
    for line in [*quoted.splitlines(), LEFT_OUT]:
        if line.strip() != LEFT_OUT:
            passage.append(line)
        elif passage:
            yield "\n".join(passage)
            passage = []


def _end_of(passage: str, printed: str, start: int) -> int | None:
    wanted = NUMBER.findall(passage)
    for match in _pattern(passage).finditer(printed, start):
        if all(map(_near, wanted, match.groups())):
            return match.end()
    return None


def _pattern(passage: str) -> re.Pattern[str]:
    words = []
    for word in passage.split():
        between = map(re.escape, NUMBER.split(word))
        words.append(r"([−+-]?\d+(?:\.\d+)?)".join(between))
    return re.compile(r"(?<!\S)" + r"\s+".join(words))


def _near(wanted: str, found: str) -> bool:
    one, other = (float(text.replace("−", "-")) for text in (wanted, found))
    last_digit = 10.0 ** -len(wanted.partition(".")[2])
    allowed = max(UNITS_OF_LAST_DIGIT * last_digit, SHARE * abs(one))
    return abs(one - other) <= allowed * (1 + 1e-9)


def _copy(words: list[str]) -> None:
    """Only what a guide needs of cp: `cp -r FOLDER FOLDER`, and `cp PATTERN FOLDER`."""
    if words[0] == "-r":
        shutil.copytree(words[1], words[2])
        return
    *patterns, folder = words
    files = [file for pattern in patterns for file in sorted(Path().glob(pattern))]
    assert files, patterns
    for file in files:
        shutil.copy(file, folder)
