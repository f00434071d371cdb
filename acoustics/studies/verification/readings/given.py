"""Files that are given by name beside those of [verification]."""

from __future__ import annotations

import os
import pathlib
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from acoustics.case.design.model import Case
from acoustics.case.design.verification_model import TakenImpedance, TakenResponse, Verification
from acoustics.case.objects.verification_of import only_driver
from acoustics.case.text.phrases import choice
from acoustics.conventions import RoundoverError

Taken = TypeVar("Taken", TakenResponse, TakenImpedance)


def verification_with(
    case: Case, responses: Sequence[str], impedances: Sequence[str]
) -> Verification:
    """What a case says was measured, and files given beside it.

    FILE is a response on the reference axis with all drivers playing, or an impedance at the
    loudspeaker's terminals; DRIVER=FILE one of that driver alone. What else there is to say of a
    response is as [verification] has it for all. A file that the case names is read as it says.

    Args:
        case: the design.
        responses: each FILE or DRIVER=FILE, counted from the working folder.
        impedances: likewise.

    Raises:
        RoundoverError: a driver that is not there, or another than the case says of the file; an
            impedance of no driver where the loudspeaker has no terminals of its own.

    Example:
        >>> verification_with(case, ["axis.txt", "woofer=woofer.txt"], [])  # doctest: +SKIP
    """
    stated = case.verification or Verification()
    usual = stated.usual or TakenResponse("", "", case.reference.distance)
    heard, loads = list(stated.responses), list(stated.impedances)
    for given in responses:
        driver, file = _parted(case, given, "--response")
        playing = () if driver is None else (driver,)
        known = _of_file(case, heard, file)
        if known is None:
            name = _name(file, [*heard, *loads])
            heard.append(replace(usual, name=name, file=file, playing=playing))
        elif driver is not None and known.playing != playing:
            raise _clash(case, "--response", given, known.name)
    for given in impedances:
        driver, file = _parted(case, given, "--impedance")
        at = driver or only_driver(case)
        known_load = _of_file(case, loads, file)
        if known_load is None:
            if at is None and not any(map(case.is_passive, _names(case))):
                raise RoundoverError(
                    f"--impedance {given}: no passive crossover joins the drivers of {case.path} "
                    "to one pair of terminals; say at whose terminals it was measured, for example "
                    f"--impedance {_names(case)[0]}={given}"
                )
            loads.append(TakenImpedance(_name(file, [*heard, *loads]), file, at))
        elif driver is not None and known_load.driver != driver:
            raise _clash(case, "--impedance", given, known_load.name)
    return replace(stated, responses=tuple(heard), impedances=tuple(loads))


def file_of(case: Case, taken: TakenResponse | TakenImpedance) -> pathlib.Path:
    """Where the file of a measurement is."""
    return pathlib.Path(case.path).parent / taken.file


def files_of(case: Case, verification: Verification) -> list[pathlib.Path]:
    """All files that are read of a finished loudspeaker."""
    responses = [file_of(case, each) for each in verification.responses]
    return responses + [file_of(case, each) for each in verification.impedances]


def shown(file: str | os.PathLike[str]) -> str:
    """A file as people give it: from the working folder if it is below that."""
    path = pathlib.Path(file)
    here = pathlib.Path.cwd()
    return str(path.relative_to(here) if path.is_relative_to(here) else path)


def _parted(case: Case, given: str, option: str) -> tuple[str | None, str]:
    """Driver, if one is named, and file; only a driver's name before "=" is one."""
    before, mark, after = given.partition("=")
    driver = before.strip()
    if mark and driver in _names(case):
        if not after.strip():
            raise RoundoverError(f"{option} {given}: no file is named; write {driver}=FILE")
        return driver, os.path.abspath(after)
    if mark and not os.path.exists(given) and os.path.exists(after):
        raise RoundoverError(
            f"{option} {given}: there is no driver '{driver}'; {choice(_names(case), driver)}"
        )
    if not given.strip():
        raise RoundoverError(f"{option}: no file is named; write {option} FILE")
    return None, os.path.abspath(given)


def _names(case: Case) -> list[str]:
    return [driver.name for driver in case.drivers]


def _of_file(case: Case, taken: Sequence[Taken], file: str) -> Taken | None:
    real = os.path.realpath(file)
    for each in taken:
        if os.path.realpath(file_of(case, each)) == real:
            return each
    return None


def _name(file: str, taken: Sequence[TakenResponse | TakenImpedance]) -> str:
    """The file's own, with a number where others are called so."""
    names, stem = {each.name for each in taken}, pathlib.Path(file).stem
    numbered = (f"{stem} {number}" for number in range(2, len(names) + 3))
    return next(name for name in (stem, *numbered) if name not in names)


def _clash(case: Case, option: str, given: str, name: str) -> RoundoverError:
    return RoundoverError(
        f"{option} {given}: {case.path} or another option says otherwise of this file, as "
        f"'{name}'; give the file alone, or change what is said of it there"
    )
