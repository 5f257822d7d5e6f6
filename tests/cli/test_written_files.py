"""What a command writes is whole, and goes over nothing that matters."""

from __future__ import annotations

import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.errors import AdvisorError
from advisor.written_files import HTML, JSON_LINES, write_whole

PAGE = "<!doctype html><p>slip</p>"


def test_a_file_that_is_there_is_kept_unless_replacing_is_asked_for(tmp_path: Path) -> None:
    file = tmp_path / "slip.html"
    file.write_text("<!doctype html>old")
    with pytest.raises(AdvisorError, match=r"is there already.*--over"):
        write_whole(file, (PAGE,), heads=HTML)
    assert file.read_text() == "<!doctype html>old"
    write_whole(file, (PAGE,), over=True, heads=HTML)
    assert file.read_text() == PAGE


@pytest.mark.parametrize("held", [b"SQLite format 3\x00rest", b"schema: 1\nrider: {}\n", b"scenario: invented\n"])
def test_a_log_a_sheet_and_a_recording_are_never_replaced_by_another_kind(tmp_path: Path, held: bytes) -> None:
    file = tmp_path / "kept"
    file.write_bytes(held)
    for heads in (HTML, JSON_LINES):
        with pytest.raises(AdvisorError, match="holds something else"):
            write_whole(file, (PAGE,), over=True, heads=heads)
    assert file.read_bytes() == held


def test_a_link_is_not_written_through(tmp_path: Path) -> None:
    victim, link = tmp_path / "victim.html", tmp_path / "slip.html"
    victim.write_text("<!doctype html>mine")
    link.symlink_to(victim)
    with pytest.raises(AdvisorError, match="no ordinary file"):
        write_whole(link, (PAGE,), over=True, heads=HTML)
    assert victim.read_text() == "<!doctype html>mine"


def test_what_breaks_off_leaves_the_old_file_and_nothing_beside_it(tmp_path: Path) -> None:
    file = tmp_path / "cases.jsonl"
    file.write_text("{}\n")

    def breaks_off() -> Iterator[str]:
        yield "{}\n"
        raise OSError(28, "No space left on device")

    with pytest.raises(AdvisorError, match="No space left"):
        write_whole(file, breaks_off(), over=True, heads=JSON_LINES)
    assert file.read_text() == "{}\n"
    assert list(tmp_path.iterdir()) == [file]


def test_what_holds_a_customers_words_is_for_its_owner_alone(tmp_path: Path) -> None:
    write_whole(tmp_path / "slip.html", (PAGE,), heads=HTML)
    assert stat.S_IMODE((tmp_path / "slip.html").stat().st_mode) == 0o600


def test_a_name_that_is_too_long_is_an_error_for_a_person(tmp_path: Path) -> None:
    with pytest.raises(AdvisorError, match="can't be written"):
        write_whole(tmp_path / ("x" * 300 + ".html"), (PAGE,), heads=HTML)
