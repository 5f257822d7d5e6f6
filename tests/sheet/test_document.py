"""The shape of the file: what is no setup sheet is refused at once, with one message and its line."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import SheetError
from advisor.sheet.document import MAX_BYTES
from advisor.sheet.reading import parse_sheet, read_sheet


def faults_of(data: bytes | str) -> tuple[str, ...]:
    raw = data if isinstance(data, bytes) else data.encode()
    with pytest.raises(SheetError) as caught:
        parse_sheet(raw, "s.yaml")
    return caught.value.faults


@pytest.mark.parametrize(
    ("data", "start", "told"),
    [
        (b"", "s.yaml: ", "an empty file"),
        (b" \n\n", "s.yaml: ", "an empty file"),
        (b"# only a comment\n", "s.yaml: ", "no fields"),
        (b"---\n", "s.yaml: ", "no fields"),
        (bytes(range(256)), "s.yaml: ", "binary data"),
        (b"schema: 1\nrider: {style: \xe9}", "s.yaml:2: ", "save the file as UTF-8"),
        (b"schema: 1\nrider: \x07", "s.yaml", "expected YAML or JSON"),
        (b"- 1\n", "s.yaml:1: ", "expected fields"),
        (b"hello", "s.yaml:1: ", "expected fields"),
        (b"schema: 1\n\trider: 2\n", "s.yaml:2: ", "tab"),
        (b"schema: 1\nrider: {height_cm: 178\n", "s.yaml:", "expected YAML or JSON"),
        (b"a: &a [1]\nb: [*a, *a]\n", "s.yaml:1: ", "anchor or alias"),
        (b"schema: 1\nboard: *x\n", "s.yaml:2: ", "anchor or alias"),
        (b"schema: 1\n<<: {height_cm: 1}\n", "s.yaml:2: <<: ", "expected a field"),
        (b"schema: !!python/object/apply:os.system [ls]", "s.yaml:1: ", "the tag"),
        (b"schema: 1\n---\nschema: 1\n", "s.yaml:2: ", "a second"),
        (b"[a, b]: 1\n", "s.yaml:1: ", "a plain name"),
        (b"[" * 100_000, "s.yaml:1: ", "nesting"),
        (b"{a: " * 20_000, "s.yaml:1: ", "nesting"),
        (b"a:\n" + b"".join(b" " * n + b"a:\n" for n in range(1, 400)), "s.yaml:9: ", "nesting"),
    ],
)
def test_what_is_no_sheet_gets_one_message_with_its_line(data: bytes, start: str, told: str) -> None:
    faults = faults_of(data)
    assert len([fault for fault in faults if told in fault]) == 1
    assert faults[0].startswith(start)
    assert told in faults[0]


def test_a_field_written_twice_names_both_lines() -> None:
    faults = faults_of("schema: 1\nrider:\n  height_cm: 178\n  height_cm: 180\n")
    assert faults == ("s.yaml:4: rider.height_cm: expected it once, found it again (first on line 3); remove one",)


def test_a_file_of_100_mb_is_refused_by_its_size_before_it_is_read(tmp_path: Path) -> None:
    big = tmp_path / "big.yaml"
    with big.open("wb") as file:
        file.truncate(100_000_000)
    start = time.perf_counter()
    with pytest.raises(SheetError, match=r"100\.0 MB"):
        read_sheet(big)
    assert time.perf_counter() - start < 1


def test_bytes_over_the_limit_are_refused_even_when_no_file_told_their_size() -> None:
    assert "more than 1000 kB" in faults_of(b"#" * (MAX_BYTES + 1))[0]


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    for path in (tmp_path / "no.yaml", tmp_path, tmp_path / "a\0b"):
        with pytest.raises(SheetError, match="check the file's name"):
            read_sheet(path)


def test_no_control_character_of_the_file_or_its_name_reaches_a_message() -> None:
    text = 'schema: 1\nrider: {"sty\\x1b[31mle": 1, style: "a\\u202eb\\x9b31m"}\n'
    with pytest.raises(SheetError) as caught:
        parse_sheet(text.encode(), "evil\x1b]0;x\x07.yaml")
    for fault in caught.value.faults:
        assert fault.isprintable()


def test_json_is_read_with_its_lines_whatever_its_layout() -> None:
    sheet = {"schema": 1, "rider": {"height_cm": 178}, "board": {"waist_width_mm": 254}}
    for indent, start in ((None, ""), (2, ""), ("\t", "\n\t"), (0, "  ")):
        read = parse_sheet((start + json.dumps(sheet, indent=indent)).encode(), "s.json")
        assert read.value("board.waist_width_mm") == 254
    sheet["board"]["waist_width_mm"] = 25.4  # type: ignore[index]
    (fault,) = faults_of("\n" + json.dumps(sheet, indent="\t"))
    assert fault.startswith("s.yaml:8: board.waist_width_mm")


@settings(max_examples=200, deadline=None)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200).map(str.encode)))
def test_any_bytes_give_a_sheet_or_faults_and_never_another_error(data: bytes) -> None:
    try:
        parse_sheet(data, "s.yaml")
    except SheetError as error:
        assert error.faults
        assert all(fault.startswith("s.yaml") for fault in error.faults)


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet="schema: 1\nridb{}[],&*!-'\"#|>%@\t?mount", max_size=80))
def test_any_yaml_like_text_gives_a_sheet_or_faults(text: str) -> None:
    try:
        parse_sheet(text.encode(), "s.yaml")
    except SheetError as error:
        assert error.faults
