"""How the parts of a passive crossover are joined, node by node."""

from __future__ import annotations

from acoustics.case.design.model import Case
from acoustics.case.design.network_nodes import AMPLIFIER, RETURN
from acoustics.crossover.connections import (
    MINUS,
    PLUS,
    SUPPLY,
    Ladder,
    Node,
    Terminal,
    ladders_of,
    nodes_of,
)
from acoustics.report.spreadsheet import csv_text

CSV_HEAD = ("node", "from", "from terminal", "to", "to terminal")


def wiring_csv(case: Case) -> str:
    """Every connection as comma-separated values: what to join to what.

    Columns as `CSV_HEAD` names them. Within a node one terminal is joined to the next; a terminal
    that is alone in its node has nothing it goes to.
    """
    rows: list[tuple[str, ...]] = [CSV_HEAD]
    for node in nodes_of(case):
        pairs = list(zip(node.terminals, node.terminals[1:], strict=False))
        rows += [(node.name, *start, *end) for start, end in pairs]
        if not pairs:
            rows.append((node.name, *node.terminals[0], "", ""))
    return csv_text(rows)


def wiring_words(case: Case) -> list[str]:
    """One sentence for every node: all that is joined there."""
    return [f"{_name(node)}: {_together(node)}." for node in nodes_of(case)]


def polarity_words(case: Case) -> list[str]:
    """How the terminals of every driver are joined, and why."""
    words = [_polarity(ladder, nodes_of(case)) for ladder in ladders_of(case)]
    words.append(
        "A driver's plus is its marked terminal. Where the mark is gone: a cell of 1.5 V, its plus "
        "there for a moment, moves a woofer's cone outward (common practice; not with tweeters)."
    )
    return words


def _name(node: Node) -> str:
    if node.name in (SUPPLY, RETURN):
        return node.name.capitalize()
    return f"Node {node.name}"


def _together(node: Node) -> str:
    own = ", ".join(map(_terminal, node.terminals))
    return own if len(node.terminals) > 1 else f"{own} alone"


def _terminal(terminal: Terminal) -> str:
    """A terminal in words: "C1 end 1", "tweeter plus (+)"."""
    return f"{terminal.of} {terminal.which}"


def _polarity(ladder: Ladder, nodes: tuple[Node, ...]) -> str:
    name = ladder.driver.name
    plus, minus = (_where(nodes, Terminal(name, which)) for which in (PLUS, MINUS))
    own, branch = ladder.driver.inverted, ladder.branch.inverted
    if own and branch:
        why = (
            f"drivers.{name}.polarity and crossover.{name}.polarity are both inverted, which "
            "cancels"
        )
    elif own or branch:
        whose = f"drivers.{name}" if own else f"crossover.{name}"
        why = f"the wrong way round on purpose, as {whose}.polarity is inverted"
    else:
        why = "polarity normal"
    return f"{name}: {PLUS} to {plus}, {MINUS} to {minus}; {why}."


def _where(nodes: tuple[Node, ...], terminal: Terminal) -> str:
    """The node in which a terminal is."""
    node = next(node for node in nodes if terminal in node.terminals)
    if node.name == SUPPLY:
        return f"the {AMPLIFIER}'s plus"
    return "the return" if node.name == RETURN else f"node {node.name}"
