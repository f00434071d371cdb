"""On which line of a TOML text each key stands.

tomllib reads values and forgets lines. This scan goes over the same text once more; it trusts
that tomllib has accepted it.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

Path = tuple[str | int, ...]
"""Keys and, inside arrays, positions from 0: ("aims", 0, "band")."""

_TOKEN = re.compile(
    r"""
    (?P<space>[ \t\r]+|\#[^\n]*)
    |(?P<newline>\n)
    |(?P<string>\"{3}(?:\\.|[^\\])*?\"{3}\"{0,2}|'{3}.*?'{3}'{0,2}
        |"(?:\\.|[^"\\\n])*"|'[^'\n]*')
    |(?P<mark>[\[\]{},.=])
    |(?P<bare>[^\s\[\]{},.=\#"']+)
    """,
    re.DOTALL | re.VERBOSE,
)


class _Token(NamedTuple):
    kind: str
    text: str
    line: int


# A file's text is asked for by each kind of fault that may stand in it.
@lru_cache(maxsize=16)
def line_index(text: str) -> Mapping[Path, int]:
    """Lines, from 1, of every table, key and array element of a valid TOML text."""
    return MappingProxyType(_Scan(text).lines)


def line_of(lines: Mapping[Path, int], path: Path) -> int:
    """The line of `path`, or of the nearest table or array around it if it is not there."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return 1


class _Scan:
    """One pass over the tokens, noting the line of each path."""

    def __init__(self, text: str) -> None:
        self.lines: dict[Path, int] = {}
        self._last: dict[Path, int] = {}  # position of the last element of each array of tables
        self._tokens = list(_tokens(text))
        self._at = 0
        table: Path = ()
        while (token := self._skip_newlines()).kind != "end":
            if token.text == "[" and token.kind == "mark":
                table = self._header()
            else:
                self._statement(table)

    def _next(self) -> _Token:
        token = self._tokens[self._at]
        self._at = min(self._at + 1, len(self._tokens) - 1)
        return token

    def _peek(self) -> _Token:
        return self._tokens[self._at]

    def _takes(self, mark: str) -> bool:
        token = self._peek()
        if token.kind == "mark" and token.text == mark:
            self._next()
            return True
        return False

    def _skip_newlines(self) -> _Token:
        while self._peek().kind == "newline":
            self._next()
        return self._peek()

    def _header(self) -> Path:
        line = self._next().line
        of_array = self._takes("[")
        path: Path = ()
        keys = self._keys()
        for number, key in enumerate(keys, start=1):
            path = (*path, key)
            self.lines.setdefault(path, line)
            if of_array and number == len(keys):
                self._last[path] = self._last.get(path, -1) + 1
            if path in self._last:
                path = (*path, self._last[path])
                self.lines.setdefault(path, line)
        while self._takes("]"):
            pass
        return path

    def _keys(self) -> list[str]:
        """A dotted key: bare, quoted or both."""
        keys = [_key(self._next())]
        while self._takes("."):
            keys.append(_key(self._next()))
        return keys

    def _statement(self, table: Path) -> None:
        """`a.b = value` in the table or inline table at `table`."""
        line = self._peek().line
        path = table
        for key in self._keys():
            path = (*path, key)
            self.lines.setdefault(path, line)
        self._takes("=")
        self._value(path)

    def _value(self, path: Path) -> None:
        self.lines.setdefault(path, self._peek().line)
        if self._takes("["):
            position = 0
            while self._skip_newlines().text != "]":
                self._value((*path, position))
                position += 1
                self._skip_newlines()
                self._takes(",")
            self._takes("]")
        elif self._takes("{"):
            while self._skip_newlines().text != "}":
                self._statement(path)
                self._skip_newlines()
                self._takes(",")
            self._takes("}")
        else:
            # A number with a point or a date is several tokens.
            while (token := self._peek()).kind in ("string", "bare") or token.text == ".":
                self._next()


def _tokens(text: str) -> Iterator[_Token]:
    line = 1
    for match in _TOKEN.finditer(text):
        kind = str(match.lastgroup)
        if kind != "space":
            yield _Token(kind, match.group(), line)
        line += match.group().count("\n")
    yield _Token("end", "", line)


def _key(token: _Token) -> str:
    if token.kind == "string":
        return next(iter(tomllib.loads(f"{token.text} = 0")))
    return token.text
