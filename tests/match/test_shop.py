"""The shop's own phrases: noted, confirmed by a person, then counted."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from platformdirs import user_data_path

from advisor.errors import KnowledgeError
from advisor.match.matcher import Matcher
from advisor.match.model_file import load
from advisor.match.shop import ShopPhrases, confirm, read_file, remember, shop_file

SAYING = "it goes all wibbly like grandma's pudding"


def test_a_correction_counts_only_once_confirmed(tmp_path: Path) -> None:
    file = tmp_path / "shop.yaml"
    noted = remember(SAYING, "unstable_at_speed", file)
    header, rows = load()
    before = Matcher(header, rows, ShopPhrases(read_file(file))).match(SAYING)
    plain = Matcher(header, rows).match(SAYING)
    assert before.matches == plain.matches
    confirm(noted, file)
    after = Matcher(header, rows, ShopPhrases(read_file(file))).match(SAYING)
    assert after.matches[0].id == "unstable_at_speed" and after.understood and after.sure


def test_the_file_is_yaml_and_is_only_appended_to(tmp_path: Path) -> None:
    file = tmp_path / "deep" / "shop.yaml"
    noted = remember('he said "wobbly: #1"', "unstable_at_speed", file)
    first = file.read_text(encoding="utf-8")
    confirm(noted, file)
    assert file.read_text(encoding="utf-8").startswith(first)
    assert yaml.safe_load(file.read_text(encoding="utf-8")) == [
        {"text": 'he said "wobbly: #1"', "entry": "unstable_at_speed", "confirmed": False},
        {"text": 'he said "wobbly: #1"', "entry": "unstable_at_speed", "confirmed": True},
    ]


def test_control_characters_never_reach_the_file(tmp_path: Path) -> None:
    file = tmp_path / "shop.yaml"
    remember("heel\x1b[2J slides\n- {evil: true}\x07", "heel_washout", file)
    lines = file.read_text(encoding="utf-8").splitlines()
    assert len(lines) == 2 and all(line.isprintable() for line in lines)


def test_an_empty_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match="empty"):
        remember(" \x1b ", "heel_washout", tmp_path / "shop.yaml")


def test_a_broken_line_is_named_with_its_number(tmp_path: Path) -> None:
    file = tmp_path / "shop.yaml"
    file.write_text("# head\n- nonsense\n", encoding="utf-8")
    with pytest.raises(KnowledgeError, match=r"shop\.yaml, line 2"):
        read_file(file)


def test_the_file_lies_in_the_users_data_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("ADVISOR_DATA", raising=False)
    assert shop_file().parent == user_data_path("advisor")
    monkeypatch.setenv("ADVISOR_DATA", str(tmp_path))
    assert shop_file() == tmp_path / "shop_phrases.yaml"
