"""Boot sizes. Conventions disagree, so the checks allow the spread of the published tables: one US size, half an EU."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge.tables import load_table
from advisor.sheet.boot_size import BootSize, SizeError, foot_range, parse_boot_size, size_systems, sizes_for


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("mondo 27.0", "mondo 27.0"),
        ("Mondopoint 27", "mondo 27.0"),
        ("mondo 270", "mondo 27.0"),
        ("mondo 27.25", "mondo 27.25"),
        ("EU 42", "EU 42"),
        ("eur 42.5", "EU 42.5"),
        ("42 2/3 EU", "EU 42.67"),
        ("US M 9", "US M 9"),
        ("us men's 9.5", "US M 9.5"),
        ("US W 8", "US W 8"),
        ("UK 8 1/2", "UK 8.5"),
        ("JP 27", "JP 27"),
    ],
)
def test_a_size_is_understood_and_written_in_one_way(written: str, canonical: str) -> None:
    assert parse_boot_size(written).words == canonical
    assert parse_boot_size(canonical).words == canonical


@given(st.integers(min_value=300, max_value=680))
def test_mondopoint_is_the_foot_length_and_passes_exactly(half_mm: int) -> None:
    """ISO 9407 (clause excerpt): the Mondopoint size is the foot length."""
    mm = half_mm / 2
    feet = foot_range(BootSize("mondo", mm / 10))
    assert feet.low == feet.high == pytest.approx(mm)
    assert sizes_for(mm)["mondo"][0] == sizes_for(mm)["mondo"][1]


# foot mm, EU by two formulas, US men, US women, UK: arithmetic of calculator formulas found on the web (weak sources)
@pytest.mark.parametrize(
    ("foot", "eu", "us_men", "us_women", "uk"),
    [
        (240, (38.0, 38.25), 6.35, 7.85, 5.35),
        (255, (40.25, 40.5), 8.12, 9.62, 7.12),
        (270, (42.5, 42.75), 9.89, 11.39, 8.89),
        (280, (44.0, 44.25), 11.07, 12.57, 10.07),
    ],
)
def test_the_published_formulas_lie_within_the_sizes_given(
    foot: float, eu: tuple[float, float], us_men: float, us_women: float, uk: float
) -> None:
    sizes = sizes_for(foot)
    for value in eu:
        assert sizes["eu"][0] - 0.01 <= value <= sizes["eu"][1] + 0.01
    for key, value in (("us_men", us_men), ("us_women", us_women), ("uk", uk)):
        assert sizes[key][0] - 0.01 <= value <= sizes[key][1] + 0.01


def test_the_page_examples_agree_within_the_spread_of_conventions() -> None:
    """27 cm is about US 10 and UK 9; 24 cm is EU 38 (two calculator pages, weak sources)."""
    assert abs(sum(sizes_for(270)["us_men"]) / 2 - 10) <= 1
    assert abs(sum(sizes_for(270)["uk"]) / 2 - 9) <= 1
    low, high = sizes_for(240)["eu"]
    assert low - 0.5 <= 38 <= high + 0.5


@pytest.mark.parametrize("size", ["US M 9", "UK 8.5", "EU 42.5"])
def test_a_shop_tables_row_for_27_cm_lies_within_the_foot_range(size: str) -> None:
    """Published shop table: JP 27 men = US 9 = UK 8.5 = EU 42.5 (weak source, disagrees with the formulas)."""
    feet = foot_range(parse_boot_size(size))
    assert feet.low <= 270 <= feet.high


@given(
    st.sampled_from(["eu", "us_men", "us_women", "uk"]),
    st.floats(min_value=200, max_value=320),
)
def test_a_foot_lies_within_the_range_of_every_size_it_is_given(system: str, foot: float) -> None:
    low, high = sizes_for(foot)[system]
    for number in (low, high):
        feet = foot_range(BootSize(system, number))
        assert feet.low - 0.1 <= foot <= feet.high + 0.1


@given(st.sampled_from(sorted(["mondo", "jp", "eu", "us_men", "us_women", "uk"])), st.integers(200, 320))
def test_a_longer_foot_never_has_a_smaller_size(system: str, foot: int) -> None:
    assert sizes_for(foot)[system] < sizes_for(foot + 1)[system]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("27", "mondo 27.0"),
        ("42", "EU 42"),
        ("US 9", "US M 9 or US W 9"),
        ("EU 99", "fits none"),
        ("large", "mondo 27.0"),
        ("EU 42 1/0", "mondo 27.0"),
        ("", "mondo 27.0"),
        ("EU " + "4" * 50, "mondo 27.0"),
    ],
)
def test_what_is_no_size_is_refused_with_how_to_write_it(text: str, told: str) -> None:
    with pytest.raises(SizeError) as caught:
        parse_boot_size(text)
    assert told in str(caught.value)


def test_every_convention_names_a_source_that_exists() -> None:
    table = load_table("boot_sizes.yaml")
    known = set(load_table("sources.yaml")) | set(table["sources"])
    cited = {rule["source"] for system in table["systems"].values() for rule in system["conventions"]}
    assert cited <= known
    assert set(size_systems()) == set(table["systems"])
