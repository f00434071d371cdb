"""Lists and tables of names have an end, so that checks across them end soon."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from bench_text import GOOD

from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

AIM = '[[aims]]\nmeasure = "floor dip"\nat_most = 8.0\n'
PEAK = '{ type = "peak", frequency = "3 kHz", gain = -2.0, q = 2 }, '
SPANS = "\n".join(f'n{number} = ["0 us", "300 us"]' for number in range(3000))


@pytest.mark.parametrize(
    ("text", "key", "told"),
    [
        (GOOD + 198 * AIM, "aims", "the list is too long; at most 200 fit"),
        (
            f"{GOOD}\n[crossover.woofer]\nsections = [{61 * PEAK}]\n",
            "crossover.woofer.sections",
            "the list is too long; at most 60 fit",
        ),
        (
            f"{GOOD}\n[place.delays]\n{SPANS}\n",
            "place.delays",
            "there are more than 24 entries; at most 24 are read",
        ),
    ],
)
def test_what_is_too_long_is_one_fault(faults_of: FaultsOf, text: str, key: str, told: str) -> None:
    (fault,) = faults_of(text)
    assert (fault.key, fault.message) == (key, told)


def test_a_file_has_no_more_than_ten_thousand_keys(faults_of: FaultsOf) -> None:
    many = "\n".join(f"k{number} = 1" for number in range(10_001))
    (fault,) = faults_of(f"{GOOD}\n[more]\n{many}\n")
    assert fault.message.startswith("has more than 10000 keys; give a case file")


def test_what_the_trade_off_is_against_is_a_choice(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(f"{GOOD}\n[place]\nagainst = [1]\n")
    assert fault.key == "place.against"
    assert "[1] is none of the choices; use ripple off axis" in fault.message


def test_a_driver_without_a_name_has_its_faults_told(faults_of: FaultsOf, tmp_path) -> None:
    (tmp_path / "d.toml").write_text('piston_diameter = "25 mm"\n', encoding="utf-8")
    faults = faults_of(f'{GOOD}\n[drivers.""]\nfile = "d.toml"\n')
    assert any(fault.key.startswith("drivers") for fault in faults)


def test_names_do_not_steer_the_terminal(faults_of: FaultsOf) -> None:
    faults = faults_of(f'{GOOD}\n[crossover."\\u001b[31mred"]\n')
    assert not any("\x1b" in str(fault) for fault in faults)
    (fault,) = faults_of("# a remark\x7f\n")
    assert "\x7f" not in str(fault)


def test_what_is_wrong_within_a_list_that_is_too_long_is_not_looked_at(faults_of: FaultsOf) -> None:
    wrong = '{ type = "low-pass", alignment = "bessel", order = 2, frequency = "-1 kHz" }'
    text = f"{GOOD}\n[crossover.woofer]\nsections = [{61 * PEAK}{wrong}]\n"
    (fault,) = faults_of(text)
    assert fault.key == "crossover.woofer.sections"
