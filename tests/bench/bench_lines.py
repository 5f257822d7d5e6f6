"""Lines of code by room, without blanks, comments and docstrings; the counter and the workshop apart.

    python tests/bench/bench_lines.py [COMMIT]

Also how many files a tech opens to read one complaint: its entry, and the parts and causes that it comes to.
"""

from __future__ import annotations

import ast
import io
import subprocess
import sys
import tokenize
from collections import defaultdict
from pathlib import Path
from statistics import median

PROJECT = Path(__file__).resolve().parents[2]
_SILENT = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENCODING}
_OF_THE_WORKSHOP = ("workshop", "training", "graph/proof", "match/train")


def code_lines(text: str) -> int:
    """Return how many lines of a module hold code."""
    told: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in _SILENT and token.type != tokenize.ENDMARKER:
            told.update(range(token.start[0], token.end[0] + 1))
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[0] if node.body else None
            if (
                isinstance(first, ast.Expr)
                and isinstance(first.value, ast.Constant)
                and isinstance(first.value.value, str)
            ):
                told -= set(range(first.lineno, (first.end_lineno or first.lineno) + 1))
    return len(told)


def files_at(commit: str | None) -> dict[str, str]:
    """Return every module of the project by its name, as it is or at a commit."""
    if commit is None:
        return {path.relative_to(PROJECT).as_posix(): path.read_text() for path in PROJECT.glob("advisor/**/*.py")}
    git = ["git", "-C", str(PROJECT)]
    names = subprocess.run([*git, "ls-tree", "-r", "--name-only", commit, "advisor"], capture_output=True, text=True)
    found = {}
    for name in names.stdout.split():
        if name.endswith(".py"):
            found[name] = subprocess.run([*git, "show", f"{commit}:{name}"], capture_output=True, text=True).stdout
    return found


def files_of_a_complaint() -> list[int]:
    """Return for each entry how many files of nodes and causes it stands in."""
    from advisor.graph.compiled import Knowledge
    from advisor.graph.compiler import compile_knowledge
    from advisor.graph.nodes import Cause
    from advisor.knowledge_home import trees_dir

    compiled, _ = compile_knowledge(trees_dir())
    knowledge = Knowledge(compiled)
    found = []
    for name in knowledge.entry_ids:
        files = {f"entries/{name}"}
        for key, node in knowledge.entry(name).nodes.items():
            part, dot, _rest = key.partition("@")[0].rpartition(".")
            files |= {f"parts/{part}"} if dot else set()
            if isinstance(node, Cause):
                files.add(compiled["homes"].get(f"causes/{node.cause}", f"causes/{node.cause}"))
        found.append(len({file.removeprefix("trees/").removesuffix(".yaml") for file in files}))
    return found


def main() -> None:
    """Print the table."""
    commit = sys.argv[1] if len(sys.argv) > 1 else None
    rooms: dict[str, list[int]] = defaultdict(list)
    for name, text in files_at(commit).items():
        inside = name.removeprefix("advisor/")
        workshop = inside.startswith(_OF_THE_WORKSHOP)
        top, _, rest = inside.rpartition("/")
        room = f"workshop {rest if top == 'workshop' else top}" if workshop else f"counter {top.partition('/')[0]}"
        rooms[room].append(code_lines(text))
    for room in sorted(rooms):
        print(f"{room:34} {len(rooms[room]):4} files {sum(rooms[room]):7} lines")
    for part in ("counter", "workshop"):
        print(f"{part:34} {sum(sum(lines) for room, lines in rooms.items() if room.startswith(part)):20} lines")
    if commit is None:
        files = files_of_a_complaint()
        print(f"files of nodes and causes for one complaint: median {median(files):g}, at most {max(files)}")


if __name__ == "__main__":
    main()
