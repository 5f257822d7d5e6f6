"""An older log is brought up to date, a newer one and another program's are refused and left as they were."""

from __future__ import annotations

import json
import zlib
from pathlib import Path

import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import inspect, text

import advisor.cases
from advisor.cases import engine
from advisor.cases.engine import REVISIONS, WRITES, bring_up_to_date, engine_for
from advisor.cases.errors import NewerError, StoreError
from advisor.cases.record import Done, Result
from advisor.cases.store import Store
from advisor.cases.tables import CASES
from tests.cases.making import case


def _old_log(url: str, count: int) -> list[object]:
    """Make a log of the first schema by its own migration and fill it as the first advisor did."""
    if url.startswith("sqlite"):
        engine.check_file(url)
    made = [
        case(f"A{n}", n, done=Done("as_advised"), result=Result("better" if n % 2 else "same")) for n in range(count)
    ]
    database = engine_for(url)
    with database.execution_options(**WRITES).begin() as connection:
        engine._migrate(connection, "0001")
        for one in made:
            body = zlib.compress(json.dumps(one.to_dict()).encode())
            connection.execute(
                text(
                    "INSERT INTO cases (id, alias_key, at_ms, entry, words, board_key, revision, body) "
                    "VALUES (:id, :alias, 0, 'heel_washout', '', '', 1, :body)"
                ),
                {"id": one.id, "alias": one.alias.lower(), "body": body},
            )
    database.dispose()
    return made


def test_the_known_schemas_are_the_migrations_that_are_there() -> None:
    scripts = ScriptDirectory(str(Path(advisor.cases.__file__).parent / "migrations"))
    assert [one.revision for one in reversed(list(scripts.walk_revisions()))] == list(REVISIONS)


def test_the_migrations_make_the_tables_that_the_code_uses(url: str) -> None:
    Store(url).close()
    database = engine_for(url)
    there = {column["name"]: column["nullable"] for column in inspect(database).get_columns("cases")}
    assert there == {column.name: bool(column.nullable) for column in CASES.columns}
    database.dispose()


def test_an_older_log_keeps_every_case_and_can_count_them(url: str) -> None:
    made = _old_log(url, 1205)
    with Store(url) as store:
        assert store.count() == 1205
        assert store.get(made[1204].id) == made[1204]
        assert store.tallies() == {"heel_washout": {"heel_contact": (602, 1205)}}


def test_a_migration_that_fails_leaves_the_older_log_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    url = f"sqlite:///{tmp_path / 'cases.sqlite'}"
    _old_log(url, 3)
    whole = engine._migrate

    def fails(connection: object, to: str = "head") -> None:
        whole(connection, to)
        raise OSError("the power went")

    monkeypatch.setattr(engine, "_migrate", fails)
    with pytest.raises(StoreError):
        Store(url)
    monkeypatch.undo()
    database = engine_for(url)
    with database.connect() as connection:
        assert connection.execute(text("SELECT version_num FROM alembic_version")).scalar() == "0001"
    assert "how" not in {column["name"] for column in inspect(database).get_columns("cases")}
    database.dispose()
    with Store(url) as store:
        assert store.count() == 3


def test_a_newer_log_is_refused_and_left_as_it_was(url: str) -> None:
    with Store(url) as store:
        store.save(case())
    database = engine_for(url)
    with database.execution_options(**WRITES).begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '0099'"))
    with pytest.raises(NewerError, match=r"0099.*Nothing was changed; update the advisor"):
        Store(url)
    with database.connect() as connection:
        assert connection.execute(text("SELECT version_num FROM alembic_version")).scalar() == "0099"
        assert connection.execute(text("SELECT count(*) FROM cases")).scalar() == 1
    database.dispose()


def test_another_programs_table_is_not_touched(url: str) -> None:
    if url.startswith("sqlite"):
        engine.check_file(url)
    database = engine_for(url)
    with database.execution_options(**WRITES).begin() as connection:
        connection.execute(text("CREATE TABLE cases (beer TEXT)"))
    with pytest.raises(StoreError, match="not the advisor's"):
        bring_up_to_date(database, url)
    assert [column["name"] for column in inspect(database).get_columns("cases")] == ["beer"]
    database.dispose()
