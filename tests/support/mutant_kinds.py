"""What mutants are made of, and how each is read: by the same calls as the commands make."""

from __future__ import annotations

import json
import os
import shutil
import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random

from acoustics.case import read_case
from acoustics.curves import read_curve
from acoustics.measurement import read_calibration
from acoustics.measurement.sofa import read_sofa_curves, read_sofa_responses
from acoustics.measurement.text_recording import read_text_recording
from acoustics.measurement.wav import read_wav
from acoustics.page.checked import checked_draft
from acoustics.page.design import design_message
from acoustics.page.messages import Hear, Map, Save, read_message
from acoustics.page.reading import read_file
from acoustics.report.case_words import description
from acoustics.report.html.verified import is_of
from acoustics.report.verification import verification_text
from acoustics.storage import open_prediction
from acoustics.studies.live.drafts import draft_of
from acoustics.studies.verification.readings.read import read_readings
from support import mutant_originals as originals
from support.cases import CASES
from support.mutant_bytes import damaged, miswritten
from support.mutant_cases import edited
from support.mutant_guard import Mutant
from support.mutant_hdf5 import rewritten
from support.mutant_toml import toml_text
from support.mutant_workshop import workshop_designs
from support.scripted_studio import remembered_limits

Maker = Callable[[Random], Mutant]
"""Writes a mutant into the folder that it was made for, and says how to read it."""

NAME = "mutant"


def designs(folder: Path) -> Maker:
    """Edits of values, keys and tables, then all that `roundover check` does."""
    texts = _shipped(folder)
    data = {name: tomllib.loads(text) for name, text in texts.items()}
    data |= workshop_designs(folder)

    def make(rng: Random) -> Mutant:
        name = rng.choice(list(data))
        design = edited(data[name], list(data.values()), rng)
        text = toml_text(design).encode("utf-8", "surrogatepass")
        return _checked(folder / "cases" / name / "case.toml", text)

    return make


def design_texts(folder: Path) -> Maker:
    """Lines, letters and bytes of shipped case files."""
    texts = _shipped(folder)

    def make(rng: Random) -> Mutant:
        name = rng.choice(list(texts))
        change = rng.choice((miswritten, miswritten, miswritten, damaged))
        text = change(texts[name].encode(), rng)
        return _checked(folder / "cases" / name / "case.toml", text)

    return make


def driver_files(folder: Path) -> Maker:
    """Driver files, read with a case that names them."""
    _shipped(folder)
    case = folder / "cases" / "compact-passive" / "case.toml"
    files = sorted((folder / "cases" / "drivers").glob("*.toml"))
    named = [file for file in files if f"/{file.name}" in case.read_text(encoding="utf-8")]
    texts = {file: file.read_bytes() for file in named}
    data = {file: tomllib.loads(text.decode()) for file, text in texts.items()}
    donors = {"drivers": {file.stem: table for file, table in data.items()}}

    def make(rng: Random) -> Mutant:
        for file, text in texts.items():
            file.write_bytes(text)
        file = rng.choice(named)
        if rng.random() < 0.6:
            inside = edited({"drivers": {"woofer": data[file]}}, [donors], rng)
            inner = inside.get("drivers", {})
            inner = inner.get("woofer", {}) if isinstance(inner, dict) else {}
            text = toml_text(inner if isinstance(inner, dict) else {}).encode(
                errors="surrogatepass"
            )
        else:
            text = miswritten(texts[file], rng)
        file.write_bytes(text)
        return Mutant(lambda: _check(case), (file.name, case.name))

    return make


def tables_in_cases(folder: Path) -> Maker:
    """Tables and taps that a case names, read with it."""
    _shipped(folder)
    workshop_designs(folder)
    cases = folder / "cases"
    named = [
        (cases / "compact-measured" / "case.toml", "measured/woofer-response.txt"),
        (cases / "workshop" / "case.toml", "impedance.txt"),
        (cases / "workshop" / "case.toml", "taps.txt"),
    ]
    tables = [(case, case.parent / name) for case, name in named]
    sound = {file: file.read_bytes() for _, file in tables}

    def make(rng: Random) -> Mutant:
        for file, data in sound.items():
            file.write_bytes(data)
        case, file = rng.choice(tables)
        file.write_bytes(rng.choice((miswritten, miswritten, damaged))(sound[file], rng))
        return Mutant(lambda: _check(case), (file.name, case.name))

    return make


def finished(folder: Path) -> Maker:
    """What was measured of a finished loudspeaker, as `roundover verify` reads it."""
    _shipped(folder)
    case = read_case(folder / "cases" / originals.VERIFIED)
    files = sorted((Path(case.path).parent / "finished").glob("*.txt"))
    sound = {file: file.read_bytes() for file in files}

    def make(rng: Random) -> Mutant:
        for file, data in sound.items():
            file.write_bytes(data)
        file = rng.choice(files)
        file.write_bytes(rng.choice((miswritten, miswritten, damaged))(sound[file], rng))
        return Mutant(lambda: read_readings(case), (file.name, "case.toml"))

    return make


def responses(folder: Path) -> Maker:
    """Tables of levels by themselves."""
    return _files(
        folder, ".frd", originals.response_tables(), (miswritten, miswritten, damaged),
        lambda file: read_curve(file, "level"),
    )  # fmt: skip


def impedances(folder: Path) -> Maker:
    """Tables of ohms by themselves."""
    return _files(
        folder, ".zma", originals.impedance_tables(), (miswritten, miswritten, damaged),
        lambda file: read_curve(file, "impedance"),
    )  # fmt: skip


def calibrations(folder: Path) -> Maker:
    """A microphone's table."""
    shipped = CASES / "compact-measured" / "recordings" / "microphone.txt"
    some = (shipped.read_bytes(), b'"Sens Factor =-1.2dB"\n20\t0.5\n1000\t0\n20000\t-2.5\n')
    return _files(folder, ".txt", some, (miswritten, miswritten, damaged), read_calibration)


def text_recordings(folder: Path) -> Maker:
    """Recordings as text."""
    return _files(
        folder, ".txt", originals.text_recordings(), (miswritten, miswritten, damaged),
        lambda file: read_text_recording(file, sampling_rate=48_000.0),
    )  # fmt: skip


def recordings(folder: Path) -> Maker:
    """WAV files in every width."""
    return _files(folder, ".wav", originals.wav_files(), (damaged,), read_wav)


def sofa(folder: Path) -> Maker:
    """Directivities, as transfer functions and as impulse responses."""

    def read(file: Path) -> object:
        # Each says what it holds; a damaged one may say the other.
        first = read_sofa_curves if b"FIR" not in file.read_bytes() else read_sofa_responses
        return first(file)

    return _files(folder, ".sofa", originals.sofa_files(), (damaged, rewritten), read)


def predictions(folder: Path) -> Maker:
    """What was predicted before."""
    made = originals.predictions()
    return _files(folder, ".nc", made, (damaged, damaged, rewritten), open_prediction)


def verifications(folder: Path) -> Maker:
    """What was found of the finished loudspeaker, read and told as in a report."""
    case = read_case(CASES / originals.VERIFIED)

    def read(file: Path) -> object:
        found = open_prediction(file)
        return verification_text(case, found) if is_of(case, found) else None

    made = originals.verifications()
    return _files(folder, ".nc", made, (damaged, rewritten, rewritten), read)


def messages(folder: Path) -> Maker:
    """What a browser may send to the live page."""
    reading = read_file(CASES / "compact-centred")
    limits = remembered_limits(reading.case)
    design = json.loads(json.dumps(design_message(reading, draft_of(reading.case), limits)))
    draft = design["draft"]
    sent = [
        {"ask": "hear", "serial": 3, "held": True, "draft": draft},
        {"ask": "map", "serial": 3, "driver": "tweeter", "by": "ripple", "draft": draft},
        {"ask": "save", "serial": 1, "draft": draft, "seen": "ab", "over": ["seat.distance"]},
        {"ask": "file", "serial": 4},
    ]

    def read(text: str) -> None:
        message = read_message(text)
        if isinstance(message, Hear | Map | Save):
            checked_draft(message.draft, design)

    def make(rng: Random) -> Mutant:
        data = json.dumps(rng.choice(sent)).encode()
        text = miswritten(data, rng).decode("utf-8", rng.choice(("replace", "surrogateescape")))
        return Mutant(lambda: read(text), ())

    return make


KINDS: dict[str, Callable[[Path], Maker]] = {
    "designs": designs,
    "design-texts": design_texts,
    "driver-files": driver_files,
    "tables-in-cases": tables_in_cases,
    "finished": finished,
    "responses": responses,
    "impedances": impedances,
    "calibrations": calibrations,
    "text-recordings": text_recordings,
    "recordings": recordings,
    "sofa": sofa,
    "predictions": predictions,
    "verifications": verifications,
    "messages": messages,
}


def _files(
    folder: Path,
    ending: str,
    sound: Sequence[bytes],
    changes: Sequence[Callable[[bytes, Random], bytes]],
    read: Callable[[Path], object],
) -> Maker:
    file = folder / f"{NAME}{ending}"
    folder.mkdir(parents=True, exist_ok=True)

    def make(rng: Random) -> Mutant:
        file.write_bytes(rng.choice(changes)(rng.choice(sound), rng))
        return Mutant(lambda: read(file), (file.name,))

    return make


def _checked(file: Path, text: bytes) -> Mutant:
    file.write_bytes(text)
    return Mutant(lambda: _check(file), (file.name, "drivers/"))


def _check(file: Path) -> None:
    """As `roundover check`, printing included."""
    case = read_case(file)
    "\n".join([*description(case), *case.warnings]).encode()


def _shipped(folder: Path) -> dict[str, str]:
    """The texts of the shipped designs, which are copied to the folder with all that they name."""
    copies = folder / "cases"
    folder.mkdir(parents=True, exist_ok=True)
    if not copies.exists():
        ignore = shutil.ignore_patterns("*.png", "*.md", "*.wav", "*.json")
        shutil.copytree(CASES, copies, ignore=ignore)
        for case in copies.iterdir():
            # What a mutated name may lead to: a pipe never ends, a link may lead to itself.
            os.mkfifo(case / "pipe")
            os.symlink("loop", case / "loop")
            (case / "folder").mkdir()
    return {
        file.parent.name: (CASES / file.parent.name / "case.toml").read_text(encoding="utf-8")
        for file in sorted(copies.glob("*/case.toml"))
        if (CASES / file.parent.name).is_dir()
    }
