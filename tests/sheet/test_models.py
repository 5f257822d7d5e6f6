"""The models are the authority: the table comes from them, and the quick check never says fine where they do not."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import event, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from advisor.sheet.compile_fields import table_text
from advisor.sheet.document import plain, read_document
from advisor.sheet.faults import report
from advisor.sheet.fields import field_rows, sections, table_path
from advisor.sheet.models import SheetModel
from advisor.sheet.reading import quick_leaves
from tests.sheet.samples import demo_document, put

_ODD_VALUES: list[Any] = [
    *(0, 1, -1, 3, 15, 254, 25.4, 2540, 1e300, 10**400, float("nan"), float("inf"), -0.0, 1.5, 2.0),
    *(True, False, "", "15", "10 in", "5'10\"", "25,4", "nan", "inf", "1e5", "mondo 27", "EU 42", "27", "left", "true"),
    *("across", "2x4", "slot_track", "powder", "Left", "measured", [], [0, 3], [3, 0], [0, 1.5], [True, 1], ["0", "3"]),
    *([0, 1, 2], {}, {"value": 15}, {"value": None}, {"from": "told"}, {"value": {"value": 15}}, {"value": [0, 3]}),
    *({"value": "10 in", "from": "measured", "plus_minus": "1/8 in"}, {"value": 15, "plus_minus": -1}),
    *({"value": 15, "plus_minus": True}, {"value": 15, "from": "guessed"}, {"value": 15, "from": ["told"]}),
    *(
        {"value": "left", "plus_minus": 1},
        {"value": "left", "from": "told"},
        {"left": 10, "right": 12},
        {"toe": "1 in"},
    ),
    *({"value": 15, "plus_minus": 1e300}, {"value": 15, "plus_minus": "wide"}, None),
]
_PLACES = [
    *field_rows(),
    *sections(),
    "schema",
    "rider.mood",
    "extra",
    "mount.left.angle_deg",
    "rider.turnout_deg.front",
]

_leaf_values = st.one_of(
    st.sampled_from(_ODD_VALUES),
    st.integers(-400, 400),
    st.floats(-2000, 2000),
    st.text(max_size=12),
    st.builds(
        lambda value, origin, spread: {"value": value, "from": origin, "plus_minus": spread},
        st.integers(-20, 400),
        st.sampled_from(["measured", "told", "looked_up", "assumed"]),
        st.floats(0, 20),
    ),
)


def test_the_table_of_fields_is_in_step_with_the_models() -> None:
    """When this fails: `python -m advisor.sheet.compile_fields`."""
    assert table_path().read_text(encoding="utf-8") == table_text()


def test_every_field_says_what_it_is_and_numbers_have_limits() -> None:
    for row in field_rows().values():
        assert row.words
        if row.kind in {"number", "integer"}:
            assert abs(row.low) < abs(row.high) < 1e4 or row.low == -row.high
        assert (row.kind == "choice") == bool(row.choices)


def test_the_models_json_schema_can_be_made() -> None:
    assert "rider" in SheetModel.model_json_schema()["properties"]


@settings(max_examples=600, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(_PLACES), _leaf_values), min_size=1, max_size=3))
def test_what_the_quick_check_calls_fine_the_models_call_fine_with_the_same_values(
    changes: list[tuple[str, Any]],
) -> None:
    document = demo_document()
    for path, value in changes:
        put(document, path, value)
    root, _ = read_document(json.dumps(document).encode())
    leaves, doubtful = quick_leaves(root)
    try:
        model = SheetModel.model_validate(plain(root))
    except ValidationError:
        event("refused by the models")
        assert doubtful
        _, faults = report(root, doubtful)
        assert faults
        return
    event("accepted by the models, doubted" if doubtful else "accepted by both")
    more, faults = report(root, doubtful)
    assert not faults
    for path, leaf in {**leaves, **more}.items():
        assert leaf.value == _of_model(model, path)


def _of_model(model: Any, path: str) -> Any:
    for part in path.split("."):
        model = getattr(model, part)
    return model


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(sorted(field_rows())), st.integers(-3, 300)), min_size=1, max_size=8))
def test_the_quick_check_doubts_nothing_that_the_models_accept_as_plain_numbers(changes: list[tuple[str, int]]) -> None:
    """So that a sound sheet is never slow: only words in odd forms may cost the models' import."""
    document: dict[str, Any] = {"schema": 1}
    for path, value in changes:
        put(document, path, value)
    root, _ = read_document(json.dumps(document).encode())
    _, doubtful = quick_leaves(root)
    if doubtful:
        assert report(root, doubtful)[1]
