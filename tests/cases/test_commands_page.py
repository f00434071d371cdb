"""README and the page of commands speak of every command, and their links lead somewhere."""

from __future__ import annotations

import re

import click
import pytest

from acoustics.cli.main import main
from support.cases import CASES

TOP = CASES.parent
README = (TOP / "README.md").read_text(encoding="utf-8")
PAGE = (CASES / "COMMANDS.md").read_text(encoding="utf-8")

SHORT = ("check", "predict", "compare")
"""commands of which README's table says all"""


@pytest.mark.parametrize("command", main.commands)
def test_every_command_is_asked_for_in_the_readme(command):
    assert f"`roundover {command} CASE" in README


@pytest.mark.parametrize("command", [each for each in main.commands if each not in SHORT])
def test_every_command_has_its_section(command):
    assert f"\n## {command}\n" in PAGE
    assert f"(cases/COMMANDS.md#{command})" in README


@pytest.mark.parametrize("page", ["README.md", "cases/COMMANDS.md"])
def test_links_lead_somewhere(page):
    text = (TOP / page).read_text(encoding="utf-8")
    targets = re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", text)
    assert targets
    assert [each for each in targets if not (TOP / page).parent.joinpath(each).exists()] == []


def test_help_lists_commands_in_the_order_of_the_work():
    assert list(main.list_commands(click.Context(main))) == list(main.commands)
    assert main.list_commands(click.Context(main))[0] == "check"
