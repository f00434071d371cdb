"""What the walls and the air of a cabinet do, what to change before the saw, and what to cut."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Iterator

from acoustics.case.design.model import Case
from acoustics.case.text.units import in_unit
from acoustics.report.box_words import litres
from acoustics.report.cautions import CAUTIONS, OF_BOARDS
from acoustics.report.cut_list import (
    board_lines,
    boards_table,
    grain_line,
    kilograms,
    sheet_lines,
    weight_line,
)
from acoustics.report.phrases import sentence_start
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.report.structure_air import air_parts
from acoustics.report.structure_walls import (
    NOTABLE,
    beside_drivers,
    brace_parts,
    gains_table,
    level_words,
    walls_part,
)
from acoustics.structure.cutting import CutList
from acoustics.structure.lining_damping import BARE_LOSS, STRONG_Q
from acoustics.studies.structure.found import Advice, StructureFound
from acoustics.studies.structure.sound import ALL, HEARD, QUIET
from acoustics.studies.wording import amount, hertz, listed

VERDICTS = {
    "quiet": "The walls are quiet",
    "heard at most": "The walls are at the limit of what is heard",
    "heard": "The walls are heard",
}


def structure_text(case: Case, found: StructureFound) -> str:
    """Say whether the cabinet is quiet, what to change before the saw, and which boards to cut.

    Args:
        case: the design.
        found: what `structure_study` answers about it.

    Returns:
        Text of 88 columns, ending in a newline.
    """
    parts = [
        f"{case.title}\n{'=' * len(case.title)}",
        paragraph(_verdict(found)),
        *_proposal(found),
        walls_part(found),
        *brace_parts(found),
        *air_parts(found),
        *_volumes(found),
        *_boards(case, found),
        section("What this rests on", _basis(found)),
        section("Before you saw and glue", [*OF_BOARDS, CAUTIONS[-1]]),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def section(title: str, points: Iterable[str]) -> str:
    """A heading and its points; empty without any."""
    lines = [bullet(point) for point in points]
    return "\n".join([heading(title), *lines]) if lines else ""


def _verdict(found: StructureFound) -> str:
    """Whether the cabinet is quiet, and what would be changed, in a few sentences."""
    together = next((each for each in found.closest if each.wall == ALL), None)
    if together is None:
        text = "How loud the walls are beside the drivers cannot be told; the notes below say why."
    else:
        # Walls that move against each other may be quieter together than one of them alone.
        worst = max(found.closest, key=lambda each: each.level)
        who = "all of them together come" if worst.wall == ALL else f"the {worst.wall} comes"
        text = (
            f"{VERDICTS[worst.loudness]}: {who} as close as {beside_drivers(worst.level)}, over a "
            f"third of an octave at {hertz(worst.frequency)}."
        )
        loudest = found.closest[0]
        if worst.wall == ALL != loudest.wall:
            text += (
                f" The loudest by itself is the {loudest.wall}, {beside_drivers(loudest.level)} at "
                f"{hertz(loudest.frequency)}."
            )
    if found.assumed:
        text += " The case does not say what it is built of: a usual board is taken."
    changes = _changes(found)
    if not changes:
        loud = any(each.loudness != "quiet" for each in found.closest)
        end = (
            "Nothing that was tried is worth its wood"
            if loud
            else "Nothing to change before the saw"
        )
        return f"{text} {end}."
    return f"{text} Before the saw: {listed([advice.what for advice in changes])}.{_after(found)}"


def _changes(found: StructureFound) -> list[Advice]:
    return [advice for advice in found.proposal if advice.kind != "nothing"]


def _after(found: StructureFound) -> str:
    """What the whole proposal comes to."""
    after = [gain.closest for gain in found.gains if gain.closest[0] - gain.closest[1] > NOTABLE]
    if not after:
        return ""
    worst = max(found.gains, key=lambda gain: gain.closest[1])
    return (
        f" With that the loudest wall is the {worst.wall}, {beside_drivers(worst.closest[1])} "
        "where it comes closest."
    )


def _proposal(found: StructureFound) -> Iterator[str]:
    """What to change, with reasons; then what to write into the case file."""
    lines = [_advice(advice) for advice in found.proposal]
    yield section("What to change before the saw", lines)
    if _changes(found):
        yield gains_table(found)
    written = [advice.toml.strip("\n") for advice in found.proposal if advice.toml]
    if written:
        body = textwrap.indent("\n\n".join(written), "    ")
        yield f"{paragraph('To have it in the case file, add or change:')}\n\n{body}"


def _advice(advice: Advice) -> str:
    sentences = [_sentence(f"{advice.what}: {advice.where}" if advice.where else advice.what)]
    sentences += [_sentence(text) for text in (advice.why, advice.practice) if text]
    sentences += _waves_words(advice)
    costs = []
    if abs(advice.volume) >= LEAST_VOLUME:
        verb = "takes" if advice.volume > 0 else "gives back"
        costs.append(f"{verb} {in_unit(abs(advice.volume), 'l', digits=2)} of air")
    if advice.mass >= LEAST_MASS:
        costs.append(f"weighs {kilograms(advice.mass)}")
    if costs:
        sentences.append(_sentence(f"it {listed(costs)}"))
    return " ".join(sentences)


def _waves_words(advice: Advice) -> list[str]:
    """What becomes of standing waves."""
    fallen = [wave for wave in advice.waves if NOTABLE < wave.drop < GONE]
    gone = [hertz(wave.frequency) for wave in advice.waves if wave.drop >= GONE]
    told = [f"that at {hertz(each.frequency)} by {amount(each.drop, 'dB')}" for each in fallen]
    text = []
    if told:
        text.append(f"Peaks of standing waves fall: {_first(told)}.")
    if gone:
        waves = "waves" if len(gone) > 1 else "wave"
        text.append(f"All but gone then: the standing {waves} at {_first(gone)}.")
    return text


def _first(items: list[str]) -> str:
    """A list, of a long one its beginning."""
    rest = len(items) - MOST_TOLD
    return listed(items if rest <= 0 else [*items[:MOST_TOLD], f"{rest} more"])


GONE = 20 * math.log10(1 / (STRONG_Q * BARE_LOSS))
"""dB: a standing wave whose peak falls by as much is all but gone"""

MOST_TOLD = 4
"""of standing waves"""

LEAST_VOLUME, LEAST_MASS = 1e-5, 5e-3
"""m³ and kg: less is not told"""


def _sentence(text: str) -> str:
    text = text.strip()
    end = "" if text.endswith((".", "!", "?")) else "."
    return f"{sentence_start(text)}{end}"


def _volumes(found: StructureFound) -> Iterator[str]:
    lines = []
    for each in found.volumes:
        taken = [f"{name} {litres(volume)}" for name, volume in each.taken if volume > 0]
        text = f"{each.enclosure}: {litres(each.gross)} gross"
        if taken:
            text += f", of which {listed(taken)} are taken"
        text += f": {litres(each.net)} net"
        if abs(each.net_after - each.net) >= LEAST_VOLUME:
            text += f", {litres(each.net_after)} with what is proposed"
        lines.append(f"{text}.")
    yield section("Volume", lines)


def _boards(case: Case, found: StructureFound) -> Iterator[str]:
    if found.cut_list is None:
        yield section("Boards", [_sentence(found.cutting_left_out)])
        return
    cut = found.cut_list
    used = {row.material for row in cut.rows}
    grained = {each.name for each in found.structure.materials if each.along != each.across} & used
    grain = (
        "The length is meant to be along the grain, and walls are reckoned so."
        if grained
        else f"{sentence_start(listed(sorted(used)))} has no grain: boards may lie either way."
    )
    yield (
        f"{heading('Boards to cut, in mm, as the case has them')}\n{boards_table(cut)}\n\n"
        + paragraph(
            f"{grain} Places of holes count from the lower left corner of the board as one sees "
            "it from outside; sizes are of the finished board, without glue or veneer."
        )
    )
    lines = [*board_lines(cut), *sheet_lines(found.sheets)]
    lines += [line for line in (grain_line(found.sheets, grained),) if line]
    if found.cutting_left_out:
        lines.append(_sentence(found.cutting_left_out))
    lines += [_steep(cut)] if _steep(cut) else []
    if len(case.enclosures) > 1:
        names = listed([each.name for each in case.enclosures])
        lines.append(
            f"Boards that part {names} from each other are not among them, nor in the weight: the "
            "case does not say where they stand."
        )
    if any(advice.kind in OF_WOOD for advice in found.proposal):
        lines.append("What is proposed is not among them: add it to the case and ask again.")
    yield "\n".join(map(bullet, [*lines, weight_line(case, cut)]))


def _steep(cut: CutList) -> str:
    """How to saw edges farther from square than a saw tilts; "" if there are none."""
    steepest = max((abs(edge.bevel) for row in cut.rows for edge in row.bevels), default=0.0)
    if steepest <= TILT + LEAST_TILT:
        return ""
    return (
        f"Saws tilt to {TILT:g}° as a rule: an edge farther from square is sawn with the board "
        'upright against a tall fence, or planed; so have it done, or choose joint = "butt".'
    )


TILT, LEAST_TILT = 45.0, 0.1
"""degrees: how far a saw blade tilts (common practice, no source); by which nobody sets it"""

OF_WOOD = ("brace", "thicker wall", "remove brace")
"""advice that changes the boards"""


def _basis(found: StructureFound) -> Iterator[str]:
    yield (
        "Walls are plates between their neighbours, their edges held between hinged and clamped "
        f"({found.structure.fixity:g}; 0 hinged, 1 clamped), in vacuum; materials are those "
        "stated, or typical ones that differ by a fifth and more from board to board. Frequencies "
        "of modes are thus good to a tenth or two, levels to several dB."
    )
    yield (
        f"Levels are those of the walls over the drivers' at the same frequency. Above "
        f"{level_words(HEARD)} in a third of an octave a wall is taken to be heard, below "
        f"{level_words(QUIET)} to be quiet: common practice, no source."
    )
    yield from map(_sentence, found.notes)
    yield (
        "Not in it either: joints that rattle, the drivers' frames as stiffeners, feet, stands and "
        "floor, sound from inside through cone and port. Knock on the first cabinet and listen; a "
        "recording of it tells more."
    )
