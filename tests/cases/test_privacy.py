"""What is kept of people: one list, readable by the owner alone, and gone when they are deleted."""

from __future__ import annotations

import sqlite3
import stat
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from advisor.cli.exits import Exit
from advisor.match.shop import ShopPhrase, confirm, shop_file
from advisor.workshop.training.spaced_repetition import Memory
from tests.cases.test_commands import _SHEET, _TOLD, Shop

ALIAS = "Zebulon Quark"


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """Return a shop with a customer whose words are everywhere that words are kept."""
    shop = Shop(tmp_path / "data")
    shop.run("--sheet", _SHEET, "--customer", ALIAS, typed=_TOLD)
    file = shop_file(shop.environ)
    confirm(ShopPhrase(_TOLD.splitlines()[0], "heel_washout", False), file)
    confirm(ShopPhrase("it goes all wibbly", "unstable_at_speed", False), file)
    sheet = tmp_path / "data" / "shop" / "sheets" / "zebulon quark.yaml"
    sheet.parent.mkdir(parents=True, exist_ok=True)
    sheet.write_text("schema: 1\n")
    return shop


def test_every_file_with_personal_words_is_listed_and_made_the_owners_alone(shop: Shop, tmp_path: Path) -> None:
    loose = tmp_path / "data" / "shop" / "sheets" / "zebulon quark.yaml"
    loose.chmod(0o644)
    told = shop.json("cases", "where")["personal"]
    assert isinstance(told, list)
    listed = {Path(str(one["file"])) for one in told}
    holding = {
        file
        for file in (tmp_path / "data").rglob("*")
        if file.is_file() and file.name not in {"odds.json", "deletions"}
    }
    assert holding <= listed
    assert {one["mode"] for one in told} == {"0600"} and stat.S_IMODE(loose.stat().st_mode) == 0o600


def test_a_deleted_customer_is_gone_from_every_file(shop: Shop, tmp_path: Path) -> None:
    told = shop.json("cases", "delete", ALIAS, "--yes")
    assert told["deleted"] == 1 and told["not_cleared"] == []
    assert told["beside"] == ["their sheet", "1 phrase taught in their words"]
    content = b"".join(file.read_bytes() for file in (tmp_path / "data").rglob("*") if file.is_file())
    assert b"ebulon" not in content and b"lets go on hard snow" not in content
    assert b"wibbly" in content


def test_what_cannot_be_cleared_is_said(shop: Shop, tmp_path: Path) -> None:
    reader = sqlite3.connect(tmp_path / "data" / "cases.sqlite", isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM cases").fetchall()
    told = shop.json("cases", "delete", ALIAS, "--yes")
    reader.execute("ROLLBACK")
    reader.close()
    assert "another program is reading the log" in str(told["not_cleared"])


def test_a_trainee_can_be_deleted(shop: Shop, tmp_path: Path) -> None:
    memory = Memory(tmp_path / "data" / "training.sqlite")
    fault = memory.next_fault("Sam", Random(1), now=datetime.now(UTC))
    memory.keep("Sam", fault, "heel_washout", 0.5, 3.0, (True, False))
    assert stat.S_IMODE(memory.file.stat().st_mode) == 0o600
    assert shop.run("drill", "--forget", "Sam") == Exit.DONE and "deleted for good" in shop.out
    assert memory.trainees() == () and b"Sam" not in memory.file.read_bytes()
    assert shop.run("drill", "--forget", "Sam") == Exit.BAD_INPUT and "no trainee" in shop.notes
