"""Where results are kept between runs."""

from __future__ import annotations

from pathlib import Path

import platformdirs
import pytest

from advisor.kept import keep, kept_file, read_kept


@pytest.mark.parametrize("told", ["", "  ", "/somewhere/else"])
def test_the_cache_folder_is_the_platforms(told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Against platformdirs, which is not imported for it on Linux."""
    monkeypatch.setenv("XDG_CACHE_HOME", told)
    assert kept_file("a.json") == platformdirs.user_cache_path("advisor", appauthor=False) / "a.json"


def test_a_newer_result_takes_the_place_of_older_ones_and_of_nothing_else(tmp_path: Path) -> None:
    folder = tmp_path / "cache"
    keep(folder / "table-a-1.json", "1", "table-a-*.json")
    keep(folder / "table-b-1.json", "b", "table-b-*.json")
    keep(folder / "table-a-2.json", "2", "table-a-*.json")
    assert {file.name: read_kept(file) for file in folder.iterdir()} == {"table-a-2.json": b"2", "table-b-1.json": b"b"}


def test_a_folder_that_cannot_be_written_costs_only_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    keep(tmp_path / "file" / "table.json", "1", "table*.json")
    assert (tmp_path / "file").read_text() == "no folder"
