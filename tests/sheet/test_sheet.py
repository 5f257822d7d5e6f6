"""The sheet as a value: immutable, and written out it reads back the same."""

from __future__ import annotations

import json
from dataclasses import FrozenInstanceError
from typing import Any

import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.errors import UnknownName
from advisor.sheet.fields import FieldRow, field_rows
from advisor.sheet.reading import parse_sheet, read_sheet
from advisor.sheet.relations import check_relations
from advisor.sheet.sheet import Leaf, Sheet
from tests.sheet.samples import DEMO, demo_document


def _value(row: FieldRow) -> st.SearchStrategy[Any]:
    if row.kind == "number":
        return st.floats(row.low, row.high, allow_nan=False)
    if row.kind == "integer":
        return st.integers(int(row.low), int(row.high))
    if row.kind == "choice":
        return st.sampled_from(row.choices)
    if row.kind == "size":
        return st.sampled_from(["mondo 27.0", "EU 42.5", "US W 8", "UK 9", "JP 25.5", "US M 10"])
    if row.kind == "steps":
        return st.tuples(st.integers(-20, 0), st.integers(0, 20))
    if row.kind == "text":
        return st.sampled_from(["Larch 158", "hire boot 27", "strap M"])
    return st.booleans()


def _leaf(row: FieldRow) -> st.SearchStrategy[Leaf]:
    spread = st.one_of(st.none(), st.floats(0, 50)) if row.kind in {"number", "integer"} else st.none()
    return st.builds(Leaf, _value(row), st.sampled_from(["measured", "told", "looked_up", "assumed"]), spread)


@st.composite
def sheets(draw: st.DrawFn) -> Sheet:
    rows = draw(st.lists(st.sampled_from(list(field_rows().values())), unique_by=lambda row: row.path, max_size=7))
    leaves = {row.path: draw(_leaf(row)) for row in rows}
    assume(not check_relations(leaves))
    return Sheet("s.yaml", leaves)


@given(sheets())
def test_a_sheet_written_out_reads_back_the_same(sheet: Sheet) -> None:
    document = sheet.to_dict()
    assert parse_sheet(json.dumps(document).encode(), "s.yaml") == sheet
    assert parse_sheet(yaml.safe_dump(document, sort_keys=False).encode(), "s.yaml") == sheet


def test_the_demo_sheet_written_out_is_the_document_it_was_read_from() -> None:
    """Same fields, same order, plain where it was plain."""
    assert json.dumps(read_sheet(DEMO).to_dict()) == json.dumps(demo_document())


def test_a_copy_with_another_value_leaves_the_first_as_it_was() -> None:
    sheet = read_sheet(DEMO)
    moved = sheet.with_value("mount.back.slot_mm", 2, "measured", 0.5)
    assert sheet.value("mount.back.slot_mm") == -4
    assert moved.value("mount.back.slot_mm") == 2
    assert moved.leaves["mount.back.slot_mm"] == Leaf(2, "measured", 0.5)
    assert moved.without("mount.back.slot_mm").value("mount.back.slot_mm") is None
    assert moved.with_value("mount.back.slot_mm", -4) == sheet


def test_a_sheet_cannot_be_changed_in_place() -> None:
    sheet = read_sheet(DEMO)
    with pytest.raises(TypeError):
        sheet.leaves["rider.height_cm"] = Leaf(180)  # type: ignore[index]
    with pytest.raises(FrozenInstanceError):
        sheet.name = "other"  # type: ignore[misc]


def test_a_field_that_the_schema_lacks_is_an_error_with_the_nearest_name() -> None:
    sheet = Sheet("s", {})
    with pytest.raises(UnknownName, match=r"did you mean mount\.front\.angle_deg"):
        sheet.value("mount.front.angel_deg")
    with pytest.raises(UnknownName):
        sheet.with_value("mount.front.angle", 3)
    with pytest.raises(UnknownName):
        Sheet("s", {"colour": Leaf("red")})


def test_line_and_words_do_not_make_two_leaves_differ() -> None:
    assert Leaf(254, line=3, words="10 in") == Leaf(254)
    assert Leaf(254, "measured") != Leaf(254)
