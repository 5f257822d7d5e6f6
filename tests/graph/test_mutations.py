"""Whatever is done to a knowledge file, the answer is a located fault or a sound tree that can be walked."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.graph.compiler import compile_knowledge
from advisor.graph.knowledge import Knowledge
from advisor.knowledge.fault import Fault
from advisor.knowledge_home import trees_dir
from advisor.workshop.proof import prove
from advisor.workshop.random_riders import wander
from advisor.workshop.random_walks import walk_at_random
from tests.graph.making import write
from tests.graph.sound_world import SOUND

FILES = sorted(SOUND)
STRANGE: list[Any] = [
    None, "", "x", "cleared", "nothing", "{foot}", "{", "\x1b[31mred", 0, -1, 1e308, 10**400, 0.5, True, [], {}, [[]],
    ["x"], {"a": 1}, {"go": "nothing"}, "sore_knee", "dull_edge", "no", float("nan"), float("inf"), "a" * 3000,
]  # fmt: skip


def _places(content: Any, place: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if place:
        yield place
    inner: Any = (
        content.items() if isinstance(content, dict) else enumerate(content) if isinstance(content, list) else ()
    )
    for key, value in inner:
        yield from _places(value, (*place, key))


def _holder(content: Any, place: tuple[Any, ...]) -> Any:
    for step in place[:-1]:
        content = content[step]
    return content


def mutate(content: Any, kind: str, first: int, second: int, strange: Any) -> Any:
    """Return the content with one place deleted, doubled, swapped with another, given another type, or renamed."""
    content = copy.deepcopy(content)
    places = list(_places(content))
    if not places:
        return content
    place, other = places[first % len(places)], places[second % len(places)]
    holder = _holder(content, place)
    if kind == "delete":
        del holder[place[-1]]
    elif kind == "duplicate":
        value = copy.deepcopy(holder[place[-1]])
        if isinstance(holder, list):
            holder.insert(place[-1], value)
        else:
            holder[f"{place[-1]}_again"] = value
    elif kind == "swap":
        there = _holder(content, other)
        mine, yours = copy.deepcopy(holder[place[-1]]), copy.deepcopy(there[other[-1]])
        holder[place[-1]] = yours
        if other[: len(place)] != place and place[: len(other)] != other:
            there[other[-1]] = mine
    else:
        holder[place[-1]] = strange
    return content


def _outcome(root: Path, *, riders: int) -> list[Fault]:
    """Prove a folder, and walk it where it is sound."""
    compiled, faults = compile_knowledge(root)
    faults = faults or [fault for fault in prove(compiled) if not fault.loose]
    if not faults:
        knowledge = Knowledge(compiled)
        for name in knowledge.entry_ids:
            walk_at_random(knowledge.entry(name), knowledge.facts, 20, Random(1))
            assert not wander(knowledge, name, riders, Random(1)).failed
    return faults


def _assert_located(faults: list[Fault], root: Path) -> None:
    for fault in faults:
        path = root / fault.file.removeprefix("trees/")
        assert fault.file.startswith("trees/"), fault
        assert "\x1b" not in str(fault)
        if fault.line:
            assert fault.line <= len(path.read_text(encoding="utf-8", errors="replace").splitlines()) + 1, fault
        else:
            assert not path.is_file() or "file" in fault.words, fault


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("trees")


@given(
    file=st.sampled_from(FILES),
    kind=st.sampled_from(("delete", "duplicate", "swap", "retype")),
    first=st.integers(0, 10_000),
    second=st.integers(0, 10_000),
    strange=st.sampled_from(STRANGE),
)
def test_any_node_deleted_doubled_swapped_or_retyped(
    folder: Path, file: str, kind: str, first: int, second: int, strange: Any
) -> None:
    changed = mutate(yaml.safe_load(SOUND[file]), kind, first, second, strange)
    text = yaml.dump(changed, allow_unicode=True, sort_keys=False)
    root = write(folder, {**SOUND, file: text})
    _assert_located(_outcome(root, riders=1), root)


@given(file=st.sampled_from(FILES), at=st.integers(0, 10_000), piece=st.text(max_size=4), cut=st.integers(0, 6))
def test_any_piece_of_text_put_in_or_cut_out(folder: Path, file: str, at: int, piece: str, cut: int) -> None:
    text = SOUND[file]
    place = at % (len(text) + 1)
    changed = text[:place] + piece + text[place + cut :]
    root = write(folder, SOUND)
    (root / file).write_bytes(changed.encode("utf-8", "surrogatepass"))
    _assert_located(_outcome(root, riders=1), root)
    write(folder, SOUND)


@settings(max_examples=4)
@given(random=st.randoms(use_true_random=False))
def test_the_projects_own_files_mutated(folder: Path, random: Random) -> None:
    home = trees_dir()
    names = [
        *home.glob("*.yaml"),
        *home.glob("entries/*.yaml"),
        *home.glob("parts/*.yaml"),
        *home.glob("causes/*.yaml"),
    ]
    files = {path.relative_to(home).as_posix(): path.read_text(encoding="utf-8") for path in sorted(names)}
    file = random.choice(sorted(files))
    kind = random.choice(("delete", "duplicate", "swap", "retype"))
    content = yaml.safe_load(files[file])
    changed = mutate(content, kind, random.randrange(10_000), random.randrange(10_000), random.choice(STRANGE))
    root = write(folder / "own", {**files, file: yaml.dump(changed, allow_unicode=True, sort_keys=False)})
    _assert_located(_outcome(root, riders=0), root)


@pytest.mark.parametrize("file", [name for name in FILES if "/" not in name])
def test_a_table_that_is_missing_is_named(tmp_path: Path, file: str) -> None:
    root = write(tmp_path, {name: text for name, text in SOUND.items() if name != file})
    faults = _outcome(root, riders=0)
    assert f"trees/{file}" in {fault.file for fault in faults}
