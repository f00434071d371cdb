"""Bytes and lines of real files, damaged as disks, editors, exports and hands damage them."""

from __future__ import annotations

import re
import struct
from collections.abc import Callable
from random import Random

HEAD = 96
"""bytes in which a file says what it is; half of the changes fall there"""

HARD_NUMBERS = (
    b"0", b"-0.0", b"-1", b"1e-320", b"1e308", b"-1e308", b"1e999", b"nan", b"-inf", b"NaN",
    b"INF", b"9" * 400, b"0x7f", b"1,5", b"1.2.3", b"1e", b"--", b"1_000", b"\xef\xbc\x91", b"",
)  # fmt: skip
STRANGE = (
    b"\0", b"\x1b[2J", b"\r", b"\x1a", b"\x7f", b"\x80\xff", b"\xc3\x28", b"\xed\xa0\x80",
    b"\xef\xbb\xbf", b"\xe2\x80\xae", b"\xe2\x80\xa8", b"\xf0\x9f\x94\x8a", b"\t", b"\xc2\xa0",
    b"\"", b"'", b"#", b";", b"[", b"]]", b"{", b"=", b"\n\n", b"%s%n", b"../../x", b"/dev/zero",
)  # fmt: skip
_NUMBER = re.compile(rb"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?")

Change = Callable[[bytearray, Random], None]


def damaged(data: bytes, rng: Random) -> bytes:
    """A file of any kind with one to four changes of its bytes."""
    raw = bytearray(data)
    for _ in range(rng.choice((1, 1, 1, 2, 3, 4))):
        rng.choice(_OF_BYTES)(raw, rng)
    return bytes(raw)


def miswritten(data: bytes, rng: Random) -> bytes:
    """A text with one to four changes of its lines, numbers and letters."""
    raw = bytearray(data)
    for _ in range(rng.choice((1, 1, 1, 2, 3, 4))):
        rng.choice(_OF_TEXT)(raw, rng)
    return bytes(raw)


def _place(raw: bytearray, rng: Random) -> int:
    return rng.randrange(min(len(raw), rng.choice((HEAD, len(raw)))) + 1) if raw else 0


def _flip(raw: bytearray, rng: Random) -> None:
    if raw:
        raw[_place(raw, rng) % len(raw)] ^= 1 << rng.randrange(8)


def _cut(raw: bytearray, rng: Random) -> None:
    place = _place(raw, rng)
    del raw[place : place + rng.choice((1, 2, 4, 100))]


def _truncate(raw: bytearray, rng: Random) -> None:
    del raw[_place(raw, rng) :]


def _insert(raw: bytearray, rng: Random) -> None:
    place = _place(raw, rng)
    raw[place:place] = rng.randbytes(rng.choice((1, 2, 4, 64)))


def _double(raw: bytearray, rng: Random) -> None:
    place = _place(raw, rng)
    raw[place:place] = raw[place : place + rng.choice((1, 8, 512, 4096))]


def _swap(raw: bytearray, rng: Random) -> None:
    one, other, size = _place(raw, rng), _place(raw, rng), rng.choice((1, 2, 4, 8, 64))
    first, second = raw[one : one + size], raw[other : other + size]
    if len(first) == len(second) and abs(one - other) >= size:
        raw[one : one + size], raw[other : other + size] = second, first


def _whole_number(raw: bytearray, rng: Random) -> None:
    """A size, count or address, whatever stands there, at its ends."""
    size, kind = rng.choice(((1, "B"), (2, "H"), (4, "I"), (8, "Q")))
    most = 2 ** (8 * size) - 1
    value = rng.choice((0, 1, 2, 3, 7, most, most - 1, most // 2, most // 2 + 1, len(raw)))
    _put(raw, rng, struct.pack(f"{rng.choice('<>')}{kind}", value & most), size)


def _no_number(raw: bytearray, rng: Random) -> None:
    kind, size = rng.choice((("f", 4), ("d", 8)))
    value = rng.choice((float("nan"), float("inf"), -float("inf"), 3e38, 1e-38, -0.0))
    _put(raw, rng, struct.pack(f"<{kind}", value), size)


def _put(raw: bytearray, rng: Random, some: bytes, step: int) -> None:
    place = _place(raw, rng) // step * step
    raw[place : place + len(some)] = some


def _line_changed(raw: bytearray, rng: Random) -> None:
    """A line left out, doubled, moved, or many times too often."""
    lines = bytes(raw).splitlines(keepends=True)
    if not lines:
        return
    at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    match rng.randrange(5):
        case 0:
            del lines[at]
        case 1:
            lines.insert(other, lines[at])
        case 2:
            lines[at], lines[other] = lines[other], lines[at]
        case 3:
            lines[at:at] = lines[min(at, other) : max(at, other)]
        case _:
            lines[at:at] = [lines[at]] * rng.choice((3, 200, 3000))
    raw[:] = b"".join(lines)


def _number_changed(raw: bytearray, rng: Random) -> None:
    found = list(_NUMBER.finditer(raw))
    if found:
        number = rng.choice(found)
        raw[number.start() : number.end()] = rng.choice(HARD_NUMBERS)


def _strange(raw: bytearray, rng: Random) -> None:
    place = rng.randrange(len(raw) + 1)
    raw[place:place] = rng.choice(STRANGE) * rng.choice((1, 1, 1, 50, 5000))


def _encoded(raw: bytearray, rng: Random) -> None:
    text = bytes(raw).decode("utf-8", "replace")
    raw[:] = text.encode(rng.choice(("utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-8-sig")))


def _marks(raw: bytearray, rng: Random) -> None:
    """Other marks between numbers, within them, or at the ends of lines."""
    old, new = rng.choice(
        ((b".", b","), (b"\t", b" "), (b"\t", b";"), (b" ", b""), (b"\n", b"\r"), (b"\n", b"\r\n"),
         (b"\n", b" "), (b" ", b"\t"), (b"\"", b"'"), (b"=", b":"), (b",", b";"),
         (b"-", b"\xe2\x88\x92"))
    )  # fmt: skip
    raw[:] = bytes(raw).replace(old, new)


_OF_BYTES: tuple[Change, ...] = (
    _flip, _cut, _truncate, _insert, _double, _swap, _whole_number, _whole_number, _no_number,
)  # fmt: skip
_OF_TEXT: tuple[Change, ...] = (
    _flip, _cut, _truncate, _line_changed, _line_changed, _number_changed, _number_changed,
    _number_changed, _strange, _strange, _encoded, _marks,
)  # fmt: skip
