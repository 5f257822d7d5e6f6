"""The command `advisor replay`: recorded conversations, played and compared."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli.as_json import dumps
from advisor.cli.chat import start
from advisor.cli.exits import Exit
from advisor.cli.plain import plain_lines
from advisor.cli.slip import is_slip, replay_slip_file
from advisor.cli.surroundings import Surroundings
from advisor.dialogue.replies import Reply
from advisor.errors import AdvisorError
from advisor.explain.returning import tell
from advisor.explain.telling import Telling
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.sheet.sheet import SCHEMA
from advisor.workshop.transcripts import read_recording, replay, written
from advisor.written_files import write_whole

if TYPE_CHECKING:
    import argparse

_WIDTH = 80


def add_replay(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor replay`."""
    parser.add_argument("files", metavar="FILE", nargs="+")
    parser.add_argument("--record", action="store_true", help="write what is said now into the files instead")


def replay_command(given: argparse.Namespace, around: Surroundings) -> int:
    """Play each file and show how it differs from what was recorded."""
    knowledge = load_knowledge(around.trees)
    how = Telling(knowledge, "metric", _WIDTH, ascii_only=True)

    def in_words(reply: Reply) -> str:
        return "\n".join(plain_lines(tell(reply, how), _WIDTH)) + "\n"

    played = (_played(name, given, around, knowledge, in_words) for name in given.files)
    told = [one for one in played if one is not None]
    same = all(one["same"] for one in told)
    if given.json:
        around.say(dumps({"schema": SCHEMA, "same": same, "files": told}))
    return Exit.DONE if same else Exit.NO


def _played(
    name: str, given: argparse.Namespace, around: Surroundings, knowledge: Knowledge, in_words: Callable[[Reply], str]
) -> dict[str, Any] | None:
    """Play one file and tell how it differs; None where it was recorded anew."""
    if is_slip(Path(name)):
        if given.record:
            raise AdvisorError(f"{name}: --record is for conversations, not for slips; leave it out")
        return replay_slip_file(Path(name), around, quiet=given.json)
    recording = read_recording(Path(name))
    played = replay(recording, start(knowledge, with_shop=False), in_words)
    if given.record:
        write_whole(Path(name), (_as_yaml(written(recording, played)),), over=True, private=False)
        around.note(f"{name}: {len(played)} turns written")
        return None
    differences = [
        line
        for then, now in zip(recording.turns, played, strict=True)
        for line in difflib.unified_diff(
            then.reply.splitlines(), now.reply.splitlines(), "recorded", f"now, after: {then.say}", lineterm="", n=1
        )
    ]
    if not given.json:
        around.say(f"{name}: {'differs' if differences else 'the same'}, {len(played)} turns")
        for line in differences:
            around.say(f"  {line}")
    return {"file": name, "same": not differences, "turns": len(played), "differences": differences}


def _as_yaml(content: dict[str, Any]) -> str:
    import yaml

    class Dumper(yaml.SafeDumper):
        pass

    def text(dumper: yaml.SafeDumper, value: str) -> Any:
        return dumper.represent_scalar("tag:yaml.org,2002:str", value, style="|" if "\n" in value else None)

    Dumper.add_representer(str, text)
    head = "# A recorded conversation in an invented scenario, replayed as a test (advisor replay).\n"
    return head + yaml.dump(content, Dumper=Dumper, sort_keys=False, allow_unicode=True, width=200)
