"""Compiled code kept on disk: never an error, and never taken when it is damaged."""

from __future__ import annotations

import hashlib
import logging
import multiprocessing
import pickle
from contextlib import suppress
from functools import cache
from typing import Any

from numba.core.caching import CompileResultCacheImpl, FunctionCache
from numba.core.serialize import dumps

_log = logging.getLogger(__name__)


class CheckedCode(CompileResultCacheImpl):
    """Code with a digest: a bit that has changed in it would give other numbers, or a crash."""

    def reduce(self, compiled: Any) -> tuple[bytes, bytes]:
        """What is written."""
        code = dumps(super().reduce(compiled))
        return hashlib.sha256(code).digest(), code

    def rebuild(self, target_context: Any, written: tuple[bytes, bytes]) -> Any:
        """What was written; ValueError if it is no longer that."""
        digest, code = written
        if digest != hashlib.sha256(code).digest():
            raise ValueError("damaged")
        return super().rebuild(target_context, pickle.loads(code))


class CodeCache(FunctionCache):
    """The compiler's own cache of a function, which is done without where it fails."""

    _impl_class = CheckedCode

    def load_overload(self, signature: Any, target_context: Any) -> Any:
        """The code for a signature, or None where there is none that is sound."""
        try:
            return super().load_overload(signature, target_context)
        except Exception:  # damaged bytes may raise anything when they are unpickled
            with suppress(OSError):
                self.flush()  # else nothing could be added to a damaged index either
            return None

    def save_overload(self, signature: Any, compiled: Any) -> None:
        """Keep the code for a signature if that can be done."""
        try:
            super().save_overload(signature, compiled)
        except OSError as error:
            _say_it_is_not_kept(str(error.strerror or error))


def keep_code(kernel: Any) -> Any:
    """The same kernel, its code kept on disk where there is a place for it."""
    if hasattr(kernel, "py_func"):  # else compiling is switched off
        try:
            kernel._cache = CodeCache(kernel.py_func)
        except RuntimeError:
            _say_it_is_not_kept("no folder for it can be written")
    return kernel


def is_kept(kernel: Any) -> bool:
    """Whether there is code of a kernel on disk, so that its first use need not be waited for.

    True where compiling is switched off.
    """
    if not hasattr(kernel, "py_func"):
        return True
    kept = getattr(kernel, "_cache", None)
    try:
        return isinstance(kept, CodeCache) and bool(kept._cache_file._load_index())
    except Exception:  # damaged bytes may raise anything when they are unpickled
        return False


@cache
def _say_it_is_not_kept(why: str) -> None:
    """Tell it once, and not again in every worker."""
    if multiprocessing.parent_process() is None:
        _log.warning(
            "Compiled code cannot be kept (%s), so every start takes about half a minute longer; "
            "set NUMBA_CACHE_DIR to a folder that can be written",
            why,
        )
