"""The shop's own phrases: noted, confirmed by a person, then counted."""

from __future__ import annotations

import os
import stat
from datetime import date
from pathlib import Path

import pytest
import yaml

from advisor.errors import KnowledgeError
from advisor.match.matcher import Matcher
from advisor.match.model_file import load
from advisor.match.shop import ShopPhrases, confirm, forget, read_file, remember, shop_file

SAYING = "it goes all wibbly like grandma's pudding"


def test_a_correction_counts_only_once_confirmed(tmp_path: Path) -> None:
    file = tmp_path / "shop.yaml"
    noted = remember(SAYING, "unstable_at_speed", file)
    header, rows = load()
    before = Matcher(header, rows, ShopPhrases(*read_file(file))).match(SAYING)
    plain = Matcher(header, rows).match(SAYING)
    assert before.matches == plain.matches
    confirm(noted, file)
    after = Matcher(header, rows, ShopPhrases(*read_file(file))).match(SAYING)
    assert after.matches[0].id == "unstable_at_speed" and after.understood and after.sure


def test_the_file_is_yaml_and_dated_and_is_only_appended_to(tmp_path: Path) -> None:
    file = tmp_path / "deep" / "shop.yaml"
    noted = remember('he said "wobbly: #1"', "unstable_at_speed", file)
    first = file.read_text(encoding="utf-8")
    confirm(noted, file)
    assert file.read_text(encoding="utf-8").startswith(first)
    held = {"text": 'he said "wobbly: #1"', "entry": "unstable_at_speed", "at": date.today().isoformat()}
    assert yaml.safe_load(file.read_text(encoding="utf-8")) == [
        held | {"confirmed": False},
        held | {"confirmed": True},
    ]


def test_control_characters_never_reach_the_file(tmp_path: Path) -> None:
    file = tmp_path / "shop.yaml"
    remember("heel\x1b[2J slides\n- {evil: true}\x07", "heel_washout", file)
    lines = file.read_text(encoding="utf-8").splitlines()
    assert len(lines) == 2 and all(line.isprintable() for line in lines)


def test_an_empty_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match="empty"):
        remember(" \x1b ", "heel_washout", tmp_path / "shop.yaml")


def test_a_single_word_is_too_little_to_teach(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match="too little"):
        remember("heel", "numb_toes", tmp_path / "shop.yaml")
    assert not (tmp_path / "shop.yaml").exists()


def test_a_broken_line_is_named_and_costs_that_line_alone(tmp_path: Path) -> None:
    file = tmp_path / "shop.yaml"
    confirm(remember(SAYING, "unstable_at_speed", file), file)
    with file.open("a", encoding="utf-8") as out:
        out.write('- {"text": "my heel')
    later = confirm(remember("it swims about under me", "unstable_at_speed", file), file)
    known, faults = read_file(file)
    assert [phrase.text for phrase in known] == [SAYING, later.text]
    assert len(faults) == 1 and "shop.yaml, line 4" in faults[0] and "my heel" in faults[0]


def test_a_forgotten_phrase_is_gone_from_the_file(tmp_path: Path) -> None:
    file = tmp_path / "shop.yaml"
    kept = confirm(remember("it swims about under me", "unstable_at_speed", file), file)
    taught = confirm(remember(SAYING, "unstable_at_speed", file), file)
    assert forget((taught,), file) == 2
    assert read_file(file) == ([kept], [])
    assert "pudding" not in file.read_text(encoding="utf-8")


def test_the_file_is_for_its_owner_alone(tmp_path: Path) -> None:
    file = tmp_path / "phrases" / "taught.yaml"
    taught = confirm(remember(SAYING, "unstable_at_speed", file), file)
    forget((taught,), file)
    assert (stat.S_IMODE(file.stat().st_mode), stat.S_IMODE(file.parent.stat().st_mode)) == (0o600, 0o700)


def test_a_full_disk_leaves_no_half_of_a_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "shop.yaml"
    remember(SAYING, "unstable_at_speed", file)
    before = file.read_bytes()
    write = os.write
    monkeypatch.setattr(os, "write", lambda handle, made: write(handle, made[:20]))
    with pytest.raises(KnowledgeError, match="cannot be written"):
        remember("it swims about under me", "unstable_at_speed", file)
    assert file.read_bytes() == before


def test_phrases_of_the_first_edition_are_read_and_moved_at_the_next_change(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.delenv("ADVISOR_SHOP", raising=False)
    monkeypatch.setenv("ADVISOR_DATA", str(tmp_path))
    earlier = tmp_path / "shop_phrases.yaml"
    earlier.write_text(f'- {{"text": "{SAYING}", "entry": "unstable_at_speed", "confirmed": true}}\n', "utf-8")
    assert shop_file() == earlier
    confirm(remember("it swims about under me", "unstable_at_speed"))
    assert not earlier.exists()
    assert [phrase.text for phrase in read_file(shop_file())[0]] == [SAYING, "it swims about under me"]


def test_the_file_lies_in_the_shops_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("ADVISOR_SHOP", raising=False)
    monkeypatch.setenv("ADVISOR_DATA", str(tmp_path))
    assert shop_file() == tmp_path / "shop" / "phrases" / "taught.yaml"
    monkeypatch.setenv("ADVISOR_SHOP", str(tmp_path / "till"))
    assert shop_file() == tmp_path / "till" / "phrases" / "taught.yaml"
