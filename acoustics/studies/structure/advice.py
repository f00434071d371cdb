"""What to change about walls, in words and as lines of a case file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Brace, Structure
from acoustics.case.geometry.brace_solids import brace_volume
from acoustics.case.text.phrases import listed
from acoustics.case.text.units import in_unit
from acoustics.structure.walls import Wall, material_named, wall_named
from acoustics.studies.structure.bracing import Added, Bracing, Thicker
from acoustics.studies.structure.candidates import shell_with
from acoustics.studies.structure.found import Advice, WallGain
from acoustics.studies.structure.sound import QUIET
from acoustics.studies.wording import amount, hertz

RAISED = 1.05
"""times: less is hardly higher"""

SPACING = (0.2, 0.3)
"""m between braces, or a brace and an edge, on large walls (common practice, no source)"""


def wall_advice(
    case: Case, before: Structure, bracing: Bracing, gains: Sequence[WallGain]
) -> Iterator[Advice]:
    """Advice about walls: braces to add, walls to make thicker, braces to leave out.

    Args:
        case: the design.
        before: what it is built of now.
        bracing: what is proposed.
        gains: of every wall, with all of it in.
    """
    by_wall = {gain.wall: gain for gain in gains}
    walls = bracing.trials.walls
    for added in bracing.added:
        yield _added(case, bracing.trials.structure, walls, added, by_wall)
    for each in bracing.thicker:
        yield _thicker(case, walls, each, by_wall)
    for brace in bracing.removed:
        yield _removed(case, before, brace, by_wall)


def _added(
    case: Case,
    structure: Structure,
    walls: tuple[Wall, ...],
    added: Added,
    gains: dict[str, WallGain],
) -> Advice:
    braces = added.candidate.braces
    held = tuple(dict.fromkeys(name for brace in braces for name in brace.walls))
    told = tuple(gains[name] for name in held if name in gains)
    shell = shell_with(case, structure)
    volumes = [brace_volume(shell, brace) for brace in braces]
    weights = [
        volume * material_named(structure, brace.material).density
        for volume, brace in zip(volumes, braces, strict=True)
    ]
    return Advice(
        kind="brace",
        what=f"{added.candidate.what} on the {listed(list(held))}",
        where=_where(walls, braces),
        why=_why(told),
        practice=_practice(wall_named(walls, added.wall), braces, told),
        walls=held,
        gains=told,
        volume=sum(volumes),
        mass=sum(weights),
        toml="\n".join(brace_toml(each) for each in _tables(braces)),
        braces=braces,
    )


def _why(gains: Sequence[WallGain]) -> str:
    one = gains[0]
    return (
        f"the {listed([gain.wall for gain in gains])} "
        f"move{'s' if len(gains) == 1 else ''} {amount(-one.volume, 'dB')} less air, and what is "
        f"heard comes no closer to the drivers than {amount(one.closest[1], 'dB')} instead of "
        f"{amount(one.closest[0], 'dB')}"
        if one.closest[0] > -200
        else f"for the same pressure inside the {one.wall} moves {amount(-one.volume, 'dB')} "
        "less air"
    ) + (
        f"; {'its' if len(gains) == 1 else 'their'} lowest mode moves from "
        f"{hertz(one.lowest[0])} to {hertz(one.lowest[1])}"
    )


def _where(walls: tuple[Wall, ...], braces: Sequence[Brace]) -> str:
    """Where braces that are alike but for their walls and places stand, in words."""
    brace = braces[0]
    section = f"{in_unit(brace.width, 'mm', digits=3)} x {in_unit(brace.height, 'mm', digits=3)}"
    if brace.kind == "strut":
        right, up = brace.position
        return (
            f"{section} in section, {_at(right, up)} the middle of the {brace.walls[0]} as seen "
            "from outside, straight to the opposite wall"
        )
    places: dict[str, list[str]] = {}
    for each in braces:
        upright = wall_named(walls, each.walls[0]).upright
        ways = ("above", "below")
        if (each.run == "crosswise") != upright:
            ways = ("to the right of", "to the left of")
        # "0 mm above the middle" is not how people say it.
        at = _beside(each.at, *ways) if round(each.at, 3) else "through"
        places.setdefault(each.walls[0], []).append(at)
    alike: dict[str, list[str]] = {}
    for wall, own in places.items():
        alike.setdefault(listed(own), []).append(wall)
    told = [f"{at} the middle of the {listed(own)}" for at, own in alike.items()]
    return f"{section} (on the wall x into the cabinet), {listed(told)}, as seen from outside"


def _at(right: float, up: float) -> str:
    """A place from a middle, in words."""
    ways = [
        *([_beside(right, "to the right of", "to the left of")] if round(right, 3) else []),
        *([_beside(up, "above", "below")] if round(up, 3) else []),
    ]
    return listed(ways) or "in"


def _beside(value: float, positive: str, negative: str) -> str:
    return f"{_mm(abs(value))} {positive if value >= 0 else negative}"


def _mm(value: float) -> str:
    return in_unit(round(value, 4), "mm", digits=4)


def _practice(wall: Wall, braces: Sequence[Brace], gains: Sequence[WallGain]) -> str:
    """What common practice holds of such braces, and where the calculation differs."""
    low, high = (in_unit(each, "mm") for each in SPACING)
    said = f"practice braces large walls every {low.removesuffix(' mm')} to {high}"
    longer, shorter = max(wall.size), min(wall.size)
    if braces[0].kind == "strut":
        return (
            f"{said}, often by struts; they part walls that move against each other and carry what "
            "a driver shakes from the front to the back; the calculation finds one to do more here "
            "than bars along the walls"
            + (
                "; the lowest mode falls because the strut weighs on walls that move the same way, "
                "which pressure inside hardly drives"
                if gains and gains[0].lowest[1] < gains[0].lowest[0]
                else ""
            )
        )
    if braces[0].run == "crosswise" and longer > 1.5 * shorter:
        rise = gains[0].lowest[1] / gains[0].lowest[0] if gains else 1.0
        times = f"{rise:.1f} times" if rise > RAISED else "hardly"
        return (
            f"{said}; the calculation finds that few braces crosswise on a long wall leave its "
            f"lowest mode where it was, and more of them raise it (here {times}); a bar "
            "lengthwise raises it most where there is room for one"
        )
    return f"{said}; the calculation judges by the air that is moved, not by the lowest mode alone"


def _thicker(
    case: Case, walls: tuple[Wall, ...], each: Thicker, gains: dict[str, WallGain]
) -> Advice:
    wall = wall_named(walls, each.wall)
    now, new = each.thickness
    width, height = wall.size
    volume = width * height * (new - now)
    gain = gains[each.wall]
    brace = (
        f"{each.what} would bring {each.brace:.1f} dB"
        if each.what
        else "what is cut out leaves no room for a brace"
    )
    return Advice(
        kind="thicker wall",
        what=f"a board of {_mm(new)} for the {each.wall} in place of {_mm(now)}",
        where=f"the whole {each.wall}",
        why=f"{_why([gain])}; {brace}",
        practice=_practice_of_thickness(wall),
        walls=(each.wall,),
        gains=(gain,),
        volume=volume,
        mass=volume * wall.material.density,
        toml=f'[structure.walls.{_key(each.wall)}]\nthickness = "{_mm(new)}"\n',
    )


def _practice_of_thickness(wall: Wall) -> str:
    if any(cutout.driver is not None for cutout in wall.cutouts):
        return (
            "practice makes the wall that carries the drivers thicker than the others, or doubles "
            "it; drivers are let into it or the rear of their holes is opened, or air is throttled"
        )
    return (
        "practice braces a wall without drivers rather than make it thicker; the calculation finds "
        "the thicker board to do more here"
    )


def _removed(case: Case, structure: Structure, brace: Brace, gains: dict[str, WallGain]) -> Advice:
    volume = brace_volume(shell_with(case, structure), brace)
    told = tuple(gains[name] for name in brace.walls if name in gains)
    return Advice(
        kind="remove brace",
        what=f"{brace.name} could be left out",
        where=f"on the {listed(list(brace.walls))}",
        why=(
            "without it every wall stays well below the drivers: none comes closer than "
            f"{amount(max(gain.closest[1] for gain in gains.values()), 'dB')}"
        ),
        practice=(
            f"practice calls a wall quiet from {-QUIET:.0f} dB below the drivers on, and braces "
            "large walls all the same; it also holds a cabinet together while it is glued"
        ),
        walls=brace.walls,
        gains=told,
        volume=-volume,
        mass=-volume * material_named(structure, brace.material).density,
        braces=(brace,),
    )


def _key(name: str) -> str:
    """A name as a key of TOML."""
    return name if name.replace("_", "").replace("-", "").isalnum() else f'"{name}"'


def _tables(braces: Sequence[Brace]) -> Iterator[tuple[Brace, ...]]:
    """Bars that one table of a case file describes: alike but for their wall, which ends the name.

    That is how a table with several walls is read.
    """
    alike: dict[object, list[Brace]] = {}
    for brace in braces:
        stem = brace.name.removesuffix(f" {brace.walls[0]}")
        alike.setdefault((replace(brace, name=stem, walls=())), []).append(brace)
    yield from (tuple(each) for each in alike.values())


def brace_toml(braces: Sequence[Brace]) -> str:
    """The table of a case file that braces, alike but for their wall, are read from."""
    brace = braces[0]
    several = len(braces) > 1
    name = brace.name.removesuffix(f" {brace.walls[0]}") if several else brace.name
    walls = [f'"{wall}"' for each in braces for wall in each.walls]
    lines = [
        "[[structure.braces]]",
        f'name = "{name}"',
        f'kind = "{brace.kind}"',
        f"walls = [{', '.join(walls)}]",
    ]
    if brace.kind == "bar":
        lines += [f'run = "{brace.run}"', f'at = "{_mm(brace.at)}"']
    else:
        right, up = brace.position
        lines.append(f'position = ["{_mm(right)}", "{_mm(up)}"]')
    lines += [f'width = "{_mm(brace.width)}"', f'height = "{_mm(brace.height)}"']
    if brace.material:
        lines.append(f'material = "{brace.material}"')
    if brace.enclosure:
        lines.append(f'enclosure = "{brace.enclosure}"')
    return "\n".join(lines) + "\n"
