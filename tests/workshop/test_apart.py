"""The counter stands without the workshop: who changes the one need not know the other."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.by_name import by_name
from advisor.cli.arguments import COMMANDS

ADVISOR = Path(__file__).parents[2] / "advisor"
COUNTER = [file for file in sorted(ADVISOR.rglob("*.py")) if "workshop" not in file.parts]


def imported(file: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{name.name}" for name in node.names)


@pytest.mark.parametrize("file", COUNTER, ids=lambda file: file.relative_to(ADVISOR).as_posix())
def test_the_counter_imports_nothing_of_the_workshop(file: Path) -> None:
    assert [name for name in imported(file) if name.startswith("advisor.workshop")] == []


@pytest.mark.parametrize("command", COMMANDS.values(), ids=list(COMMANDS))
def test_what_a_command_names_is_there(command: object) -> None:
    named = [name for name in (command.run, command.fill) if name]  # type: ignore[attr-defined]
    assert all(callable(by_name(name)) for name in named)


def test_the_folders_are_looked_at() -> None:
    assert len(COUNTER) > 100
