"""The table of fields decides what a sheet may hold."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.graph.compiler import compile_knowledge
from advisor.knowledge_home import trees_dir
from advisor.sheet.document import read_document
from advisor.sheet.faults import report
from advisor.sheet.fields import field_rows, sections
from advisor.sheet.reading import fitting_leaves
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


def test_every_field_says_what_it_is_and_numbers_have_limits() -> None:
    for row in field_rows().values():
        assert row.words
        if row.kind in {"number", "integer"}:
            assert abs(row.low) < abs(row.high) < 1e4 or row.low == -row.high
        assert (row.kind == "choice") == bool(row.choices)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(_PLACES), _leaf_values), min_size=1, max_size=3))
def test_every_place_of_a_sheet_is_a_leaf_that_fits_or_a_fault_that_names_it(changes: list[tuple[str, Any]]) -> None:
    document = demo_document()
    for path, value in changes:
        put(document, path, value)
    root, _ = read_document(json.dumps(document).encode())
    leaves, doubtful = fitting_leaves(root)
    told = {fault.path for fault in report(root, doubtful)}
    assert told == set(doubtful)
    assert not told & set(leaves)
    for path, leaf in leaves.items():
        row = field_rows()[path]
        if row.kind in {"number", "integer"}:
            assert isinstance(leaf.value, float | int)
            assert row.low <= leaf.value <= row.high
        if row.kind == "choice":
            assert leaf.value in row.choices


@pytest.mark.parametrize("seed", ["1", "2"])
def test_a_fault_reads_the_same_at_every_hash_seed(seed: str) -> None:
    """The fields are named in the table's order."""
    code = "from advisor.sheet.reading import parse_sheet; parse_sheet(b'schema: 1\\nmount: 5\\n', 'a.yaml')"
    run = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONHASHSEED": seed},
        check=False,
    )
    assert "expected fields such as front, back, screw_torque_nm, found '5'" in run.stderr


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("low: 90, high: 230", "low: 230, high: 90", "low first"),
        ("choices: [left, right], ", "", "a choice has choices"),
        ("kind: number, unit: cm, words: body height", "kind: numbr, unit: cm, words: body height", "kind"),
    ],
)
def test_the_proof_refuses_a_field_that_is_not_whole(tmp_path: Path, old: str, new: str, words: str) -> None:
    text = (trees_dir() / "fields.yaml").read_text(encoding="utf-8")
    assert text.count(old) >= 1
    (tmp_path / "fields.yaml").write_text(text.replace(old, new, 1), encoding="utf-8")
    _, faults = compile_knowledge(tmp_path)
    assert any(words in fault.words.lower() for fault in faults if fault.file == "trees/fields.yaml" and fault.line > 1)
