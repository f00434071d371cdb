"""The walls of a cabinet and what braces do to them, in words and tables."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.report.plain_text import bullet, clipped, columns, heading, paragraph
from acoustics.structure.wall_effects import BraceEffect, BraceOption
from acoustics.structure.wall_modes import WallModes
from acoustics.studies.structure.found import AtLevel, StructureFound
from acoustics.studies.wording import amount, hertz, number, tenths

WAYS = {
    "lengthwise": "bar lengthwise",
    "crosswise": "bar crosswise",
    "thirds": "two bars at the thirds",
    "strut": "strut",
}
"""what is tried on a wall, in words"""

BRACE_LETTERS, WALL_LETTERS, HOLE_LETTERS = 24, 18, 10
"""of names in tables of braces, so that they keep within the width"""

LOWER = 0.98
"""times: a lowest mode that falls by more is explained"""

NOTABLE = 0.5
"""dB: a change that is told"""

LOUDNESS = {"quiet": "quiet", "heard at most": "at the limit", "heard": "heard"}


def beside_drivers(level: float) -> str:
    """A level relative to the drivers: "24.1 dB below the drivers"."""
    side = "above" if level > 0 else "below"
    return f"{amount(abs(level), 'dB')} {side} the drivers"


def level_words(level: float) -> str:
    """A round level: "−20 dB"."""
    return f"{level:g} dB".replace("-", "−")


def walls_part(found: StructureFound) -> str:
    """Every wall: its board, its modes, and how loud it is."""
    title = heading("Walls")
    if not found.walls:
        return f"{title}\n{bullet('No wall is large enough to bend as a plate.')}"
    closest = {each.wall: each for each in found.closest}
    boards = [_board(modes) for modes in found.walls]
    alike = len(set(boards)) == 1
    rows = [["", *([] if alike else ["board"]), "lowest", "driven", "closest", "at", ""]]
    for modes, board in zip(found.walls, boards, strict=True):
        near = closest.get(modes.wall.name)
        rows.append(
            [
                modes.wall.name,
                *([] if alike else [board]),
                hertz(float(modes.frequency[0])),
                hertz(float(modes.frequency[modes.most_driven])),
                "" if near is None else f"{number(near.level, 'dB')} dB",
                "" if near is None else hertz(near.frequency),
                "" if near is None else LOUDNESS[near.loudness],
            ]
        )
    more = f"All of {boards[0]}. " if alike else ""
    more += (
        "Lowest: its lowest mode; driven: the mode by which it yields most to pressure inside. "
        "Closest: its level over the drivers', in a third of an octave, on the reference axis or "
        "in all directions, whichever is louder."
    )
    parts = [columns(rows, left=1 if alike else 2), "", paragraph(more)]
    if found.at_level is not None:
        parts += ["", paragraph(_at_level_words(found.at_level))]
    return "\n".join([title, *parts])


def _board(modes: WallModes) -> str:
    return f"{tenths(modes.wall.thickness)} mm {modes.wall.material.name}"


def _at_level_words(at: AtLevel) -> str:
    text = (
        f"At {amount(at.level, 'dB')} from the drivers at 1 m ({at.voltage:.3g} V) the pressure "
        f"inside reaches {at.box_pressure:.3g} Pa"
    )
    if at.wall:
        moved = 1e6 * at.displacement
        text += f", and the {at.wall} moves {moved:.2g} µm to either side, at {hertz(at.frequency)}"
    return f"{text}."


def gains_table(found: StructureFound) -> str:
    """What the proposal as a whole does to the walls that it changes; empty where to none."""
    changed = [
        gain
        for gain in found.gains
        if max(abs(gain.volume), abs(gain.closest[1] - gain.closest[0])) > NOTABLE
    ]
    if not changed:
        return ""
    rows = [["with all of it", "closest to drivers", "lowest mode", "sounds"]]
    rows += [
        [
            gain.wall,
            f"{number(gain.closest[0], 'dB')} to {number(gain.closest[1], 'dB')} dB",
            f"{hertz(gain.lowest[0])} to {hertz(gain.lowest[1])}",
            _change(gain.volume),
        ]
        for gain in changed
    ]
    return columns(rows)


def brace_parts(found: StructureFound) -> Iterator[str]:
    """What each brace does, and what others would."""
    if found.brace_effects:
        rows = [["", "wall", "lowest mode", "moves", "sounds"]]
        last = ""
        for effect in found.brace_effects:
            name = clipped(effect.brace, BRACE_LETTERS) if effect.brace != last else ""
            rows.append([name, *_effect(effect)])
            last = effect.brace
        more = (
            "Each against the same cabinet without this one brace. Moves: the wall's mean square "
            "velocity; sounds: the square of the air it shifts; both for an even pressure inside, "
            "averaged by the octave. A higher mode alone does not make a wall quieter: more of "
            "the wood moves less only where both figures fall."
        )
        if any(each.braced.lowest < LOWER * each.without.lowest for each in found.brace_effects):
            more += (
                " Nor does a lower one make it louder: a brace weighs on modes that it does not "
                "hold, as a strut on those in which both its walls move the same way, which "
                "pressure inside hardly drives."
            )
        yield f"{heading('What each brace does')}\n{columns(rows, left=2)}\n\n{paragraph(more)}"
    tried = [(wall, option) for wall, options in found.brace_options.items() for option in options]
    if tried:
        rows = [["", "would be", "lowest mode", "moves", "sounds", ""]]
        last = ""
        for wall, option in tried:
            name = clipped(wall, WALL_LETTERS) if wall != last else ""
            rows.append([name, *_option(wall, option)])
            last = wall
        more = (
            "Each by itself, beside the braces that are there: through the middle of the wall or "
            "at the thirds of its length, of the walls' board, one thickness wide and two and a "
            "half high. Figures are for an even pressure inside, averaged by the octave: what "
            "lowers them need not lower the wall where it comes closest to the drivers, which is "
            "what a proposal goes by."
        )
        table = f"{columns(rows, left=2)}\n\n{paragraph(more)}"
        yield f"{heading('What other braces would do')}\n{table}"


def _effect(effect: BraceEffect) -> list[str]:
    return [
        clipped(effect.wall, WALL_LETTERS),
        f"{hertz(effect.without.lowest)} to {hertz(effect.braced.lowest)}",
        _change(effect.motion),
        _change(effect.volume),
    ]


def _change(level: float) -> str:
    sign = "+" if level > 0 else ""
    return f"{sign}{amount(level, 'dB')}"


def _option(wall: str, option: BraceOption) -> list[str]:
    own = next((effect for effect in option.effects if effect.wall == wall), None)
    some = len(option.blocked)
    holes = clipped(option.blocked[0], HOLE_LETTERS) if some == 1 else f"{some} cut-outs"
    if own is None:
        return [WAYS[option.name], "no room", "", "", f"meets {holes}"]
    return [WAYS[option.name], *_effect(own)[1:], f"meets {holes}" if some else ""]
