"""Unsound knowledge is refused with its reason, and never kept; sound knowledge is kept and read back quickly."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.errors import KnowledgeError
from advisor.graph.knowledge import load_knowledge
from advisor.knowledge.trees import Trees
from advisor.workshop.proof import RULES
from tests.graph.making import broken, write
from tests.graph.sound_world import SOUND, examples_of


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    yield tmp_path / "cache"


def _kept(cache: Path) -> list[Path]:
    return sorted(cache.rglob("knowledge-*.json"))


def test_unsound_knowledge_is_refused_with_file_and_line_and_not_kept(cache: Path, tmp_path: Path) -> None:
    gap = examples_of(next(rule for rule in RULES if rule.number == 7))[0]
    root = write(tmp_path / "trees", broken(gap))
    with pytest.raises(KnowledgeError, match=r"trees/entries/sore_knee\.yaml:45: .*from 6\.0 to 6\.5.*\[T07\]"):
        load_knowledge(Trees(root))
    assert _kept(cache) == []


def test_a_loose_end_does_not_keep_a_rider_from_advice(cache: Path, tmp_path: Path) -> None:
    root = write(tmp_path / "trees", {**SOUND, "cautions.yaml": SOUND["cautions.yaml"] + "spare: Mind.\n"})
    assert set(load_knowledge(Trees(root)).entry_ids) == {"sore_knee", "sore_foot", "ask_angles"}


def test_sound_knowledge_is_kept_and_read_back_alike(cache: Path, tmp_path: Path) -> None:
    root = write(tmp_path / "trees", SOUND)
    fresh = load_knowledge(Trees(root))
    assert len(_kept(cache)) == 1
    kept = load_knowledge(Trees(root))
    assert kept is not fresh
    assert [kept.entry(name) for name in kept.entry_ids] == [fresh.entry(name) for name in fresh.entry_ids]
    assert kept.facts == fresh.facts


def test_a_changed_file_is_proven_again(cache: Path, tmp_path: Path) -> None:
    root = write(tmp_path / "trees", SOUND)
    load_knowledge(Trees(root))
    write(root, {"parts/dull_edge.yaml": SOUND["parts/dull_edge.yaml"].replace("start: look", "start: looks")})
    with pytest.raises(KnowledgeError, match=r"dull_edge\.yaml:2: where does 'looks' lead"):
        load_knowledge(Trees(root))


def test_a_flipped_bit_in_the_kept_form_is_noticed(cache: Path, tmp_path: Path) -> None:
    """The kept form is still JSON, of the right shape, and says something else."""
    trees = Trees(write(tmp_path / "trees", SOUND))
    title = load_knowledge(trees).entry("sore_knee").title
    (file,) = _kept(cache)
    raw = bytearray(file.read_bytes())
    raw[raw.index(title.encode())] ^= 1
    file.write_bytes(raw)
    assert load_knowledge(Trees(trees.home)).entry("sore_knee").title == title


def test_two_folders_keep_their_forms_side_by_side(cache: Path, tmp_path: Path) -> None:
    for name in ("one", "other"):
        load_knowledge(Trees(write(tmp_path / name, SOUND)))
    assert len(_kept(cache)) == 2


def test_two_knowledges_live_side_by_side(cache: Path, tmp_path: Path) -> None:
    titled = {
        **SOUND,
        "entries/sore_knee.yaml": SOUND["entries/sore_knee.yaml"].replace("Back knee hurts", "Sore knee"),
    }
    one, other = (load_knowledge(Trees(write(tmp_path / name, files))) for name, files in (("a", SOUND), ("b", titled)))
    assert [knowledge.entry("sore_knee").title for knowledge in (one, other)] == ["Back knee hurts", "Sore knee"]


@pytest.mark.parametrize("spoilt", ["", "[]", "{}", '{"entries": 1}', "\x00", "[" * 100_000])
def test_a_spoilt_kept_form_is_made_again(cache: Path, tmp_path: Path, spoilt: str) -> None:
    root = write(tmp_path / "trees", SOUND)
    load_knowledge(Trees(root))
    (file,) = _kept(cache)
    file.write_text(spoilt, encoding="utf-8")
    assert len(load_knowledge(Trees(root)).entry_ids) == 3
    assert file.read_text(encoding="utf-8") != spoilt


def test_a_folder_that_cannot_be_written_to_costs_only_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "cache").write_text("a file where the folder should be")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    assert len(load_knowledge(Trees(write(tmp_path / "trees", SOUND))).entry_ids) == 3


def test_a_warm_start_imports_neither_models_nor_graph_algorithms_nor_yaml(cache: Path, tmp_path: Path) -> None:
    root = write(tmp_path / "trees", SOUND)
    load_knowledge(Trees(root))
    code = (
        "import sys; from pathlib import Path; from advisor.graph.knowledge import load_knowledge;"
        f"from advisor.knowledge.trees import Trees; load_knowledge(Trees(Path({str(root)!r})));"
        "print([m for m in ('pydantic', 'networkx', 'yaml', 'numpy') if m in sys.modules])"
    )
    project = Path(__file__).parent.parent.parent
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=project, check=True)
    assert done.stdout.strip() == "[]"


def test_many_faults_are_cut_short_with_the_way_to_all_of_them(cache: Path, tmp_path: Path) -> None:
    cautions = "".join(f"  - {{start: s{i}, odds: 0.01, words: w}}\n" for i in range(30))
    text = SOUND["entries/sore_knee.yaml"].replace("nothing_left: nothing\n", cautions + "nothing_left: nothing\n")
    root = write(tmp_path / "trees", {**SOUND, "entries/sore_knee.yaml": text})
    with pytest.raises(KnowledgeError, match="more; 'advisor trees' lists them all"):
        load_knowledge(Trees(root))
