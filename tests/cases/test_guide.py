"""The guide for a first build: its commands run, print what it quotes and draw what it shows."""

from __future__ import annotations

import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest
from PIL import Image

from acoustics.cli.main import main
from support.cases import CASES
from support.guide import Step, misquoted, output_of, pictures_of, steps_of

GUIDE = CASES / "compact-passive" / "GUIDE.md"
TEXT = GUIDE.read_text(encoding="utf-8")
STEPS = steps_of(TEXT)
QUICK = ("check", "drivers")
MOST_BYTES = 150_000


def commands_of(step: Step) -> list[list[str]]:
    return [words[1:] for words in map(shlex.split, step.lines) if words[0] == "roundover"]


def name_of(step: Step) -> str:
    return "-".join(commands_of(step)[-1][:2]).replace("cases/", "")


SLOW = [step for step in STEPS if commands_of(step)[-1][0] not in QUICK]


@pytest.fixture(scope="module")
def top(tmp_path_factory):
    """A folder that holds a copy of the cases, as the top folder of the repository does."""
    folder = tmp_path_factory.mktemp("top")
    shutil.copytree(CASES, folder / "cases")
    return folder


def test_every_block_of_commands_is_found():
    assert len(STEPS) == TEXT.count("```sh")
    assert TEXT.count("```text") == sum(bool(step.quoted) for step in STEPS)


@pytest.mark.parametrize("words", [w for step in STEPS for w in commands_of(step)], ids=" ".join)
def test_every_command_parses(words):
    name, *arguments = words
    command = main.commands[name]
    asked = command.make_context(name, list(arguments)).params
    case = Path(asked["case"])
    assert case.parts[0] == "cases"
    assert (CASES.parent / case / "case.toml").is_file() or f"{case}\n" in TEXT
    if asked.get("out"):
        assert asked["out"].parts[0] == "roundover-out"


def test_commands_named_in_sentences_exist():
    named = set(re.findall(r"`roundover ([a-z]+)", TEXT))
    assert named - {"page"} <= set(main.commands)  # the live page serves; it is not run here


@pytest.mark.parametrize("page", ["CONVENTIONS.md", "PHYSICS.md"])
def test_links_of_the_other_pages_lead_somewhere(page):
    links = re.findall(r"\]\(([^)]+)\)", (CASES / page).read_text(encoding="utf-8"))
    assert links
    for link in links:
        assert (CASES / link).is_file(), link


def test_what_is_quoted_of_the_case_stands_there():
    case = (GUIDE.parent / "case.toml").read_text(encoding="utf-8")
    blocks = re.findall(r"^```toml\n(.*?)^```", TEXT, re.MULTILINE | re.DOTALL)
    assert blocks
    for block in blocks:
        assert block in case
        assert tomllib.loads(block)


def test_links_and_pictures_are_there():
    links = re.findall(r"\]\(([^)]+)\)", TEXT)
    for link in links:
        assert (GUIDE.parent / link).is_file(), link
    kept = {name for name, _ in pictures_of(TEXT)}
    assert kept == {link for link in links if link.endswith(".png")}
    assert kept == {f"guide/{file.name}" for file in (GUIDE.parent / "guide").iterdir()}
    for name in kept:
        assert (GUIDE.parent / name).stat().st_size <= MOST_BYTES
    folders = tuple(f"{step.out}/" for step in STEPS if step.out)
    assert all(drawn.startswith(folders) for _, drawn in pictures_of(TEXT))


def test_a_wrong_quotation_is_noticed():
    step = Step(("roundover check x",), ("tuned to 42 Hz", "C1 is 10 uF"))
    assert misquoted(step, "a box tuned\n  to 42.1 Hz; C1 is 10 uF") == []
    assert misquoted(step, "a box tuned to 45 Hz; C1 is 10 uF") == ["tuned to 42 Hz"]
    assert misquoted(step, "C1 is 10 uF, a box tuned to 42 Hz") == ["C1 is 10 uF"]
    assert misquoted(step, "a box tuned to 42 Hz; C2 is 10 uF") == ["C1 is 10 uF"]


@pytest.mark.parametrize("step", [step for step in STEPS if step not in SLOW], ids=name_of)
def test_quick_commands_print_what_is_quoted(step, top, monkeypatch):
    monkeypatch.chdir(top)
    assert misquoted(step, output_of(step)) == []


@pytest.mark.slow
@pytest.mark.parametrize("step", SLOW, ids=name_of)
def test_every_command_prints_and_draws_what_is_shown(step, top, monkeypatch):
    monkeypatch.chdir(top)
    assert misquoted(step, output_of(step)) == []
    for kept, drawn in pictures_of(TEXT):
        if step.out and drawn.startswith(f"{step.out}/"):
            with Image.open(drawn) as fresh, Image.open(GUIDE.parent / kept) as shown:
                assert fresh.size == shown.size
