"""Compiled code on disk: taken when it is sound, made anew when not, done without where it must."""

from __future__ import annotations

import importlib.util
import math
import random
import resource

import numba
import pytest
from numba.core.caching import CompileResultCacheImpl

from acoustics.field.code_cache import _say_it_is_not_kept, is_kept, keep_code

SOURCE = """
def inner(x):
    return 3.0 * x + 1.0
"""
"""A kernel of its own, for the program's take half a minute to compile."""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Where code is kept."""
    monkeypatch.setattr(numba.config, "CACHE_DIR", str(tmp_path / "code"))
    _say_it_is_not_kept.cache_clear()
    return tmp_path / "code"


@pytest.fixture
def kernel_anew(tmp_path):
    """A function that gives the kernel as a process that has just started has it."""
    (tmp_path / "small_kernel.py").write_text(SOURCE)

    def anew():
        spec = importlib.util.spec_from_file_location("small_kernel", tmp_path / "small_kernel.py")
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        return keep_code(numba.njit(module.inner))

    return anew


def hits(kernel):
    return sum(kernel.stats.cache_hits.values())


def files_in(folder, ending):
    return sorted(folder.rglob(f"*.{ending}"))


def test_code_is_kept_and_taken_again(folder, kernel_anew):
    first, second = kernel_anew(), kernel_anew()
    assert first(2.0) == 7.0
    assert hits(first) == 0
    assert second(2.0) == 7.0
    assert hits(second) == 1
    assert len(files_in(folder, "nbi")) == len(files_in(folder, "nbc")) == 1


def test_it_can_be_told_beforehand_whether_code_is_kept(folder, kernel_anew):
    first = kernel_anew()
    assert not is_kept(first)
    first(2.0)
    assert is_kept(kernel_anew())
    (index,) = files_in(folder, "nbi")
    index.write_bytes(b"no index")
    assert not is_kept(kernel_anew())


def test_what_is_not_compiled_need_not_be_waited_for():
    assert is_kept(math.sqrt)


@pytest.mark.parametrize("ending", ["nbi", "nbc"])
def test_damaged_code_is_compiled_again(folder, kernel_anew, ending):
    kernel_anew()(2.0)
    (file,) = files_in(folder, ending)
    whole, draw = file.read_bytes(), random.Random(5)
    harms = [b"", whole[: len(whole) // 2], bytes(len(whole))]
    for _ in range(6):
        flipped = bytearray(whole)
        flipped[draw.randrange(len(whole))] ^= 1 << draw.randrange(8)
        harms.append(bytes(flipped))
    for harm in harms:
        file.write_bytes(harm)
        kernel = kernel_anew()
        assert kernel(2.0) == 7.0
        again = kernel_anew()
        assert again(2.0) == 7.0
        assert hits(again) == 1  # what was damaged has been replaced


def test_a_flipped_bit_of_the_code_itself_is_noticed(folder, kernel_anew):
    """Code begins behind the digest; nothing but the digest could tell that a constant differs."""
    kernel_anew()(2.0)
    (file,) = files_in(folder, "nbc")
    whole = bytearray(file.read_bytes())
    whole[whole.index(b"\x7fELF") + 600] ^= 1
    file.write_bytes(whole)
    kernel = kernel_anew()
    assert kernel(2.0) == 7.0
    assert hits(kernel) == 0


def test_a_full_disk_costs_time_alone(folder, kernel_anew, caplog):
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (10, limits[1]))
    try:
        assert kernel_anew()(2.0) == 7.0
        assert kernel_anew()(2.0) == 7.0
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert files_in(folder, "nbc") == []
    (told,) = caplog.messages
    assert "cannot be kept (File too large)" in told
    assert "NUMBA_CACHE_DIR" in told


def test_without_any_place_it_is_compiled_every_time(folder, kernel_anew, caplog, monkeypatch):
    monkeypatch.setattr(CompileResultCacheImpl, "_locator_classes", [])
    assert kernel_anew()(2.0) == 7.0
    again = kernel_anew()
    assert again(2.0) == 7.0
    assert hits(again) == 0
    (told,) = caplog.messages
    assert "no folder for it can be written" in told
