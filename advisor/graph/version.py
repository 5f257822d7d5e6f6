"""The version of the knowledge: a hash of every file in `trees/`, so that an answer can say what it rests on."""

from __future__ import annotations

from hashlib import sha256

from advisor.knowledge.trees import Trees, of_trees

_SIGNS = 16


@of_trees
def knowledge_version(trees: Trees) -> str:
    """Return the first 16 hex signs of a SHA-256 over the names and contents of all knowledge files, the shop's too.

    Parameters
    ----------
    trees
        Its files; the authors' where they are not given.

    """
    total = sha256()
    for home in (home for home in (trees.home, trees.shop) if home):
        for file in sorted(p for p in home.rglob("*") if p.suffix in {".yaml", ".bin"}):
            content = sha256(file.read_bytes()).hexdigest()
            total.update(f"{file.relative_to(home).as_posix()} {content}\n".encode())
    return total.hexdigest()[:_SIGNS]
