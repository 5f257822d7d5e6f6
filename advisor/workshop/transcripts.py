"""Recorded conversations: read from a file, played again, and compared line by line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor.dialogue.replies import Reply
from advisor.dialogue.talk import Conversation
from advisor.errors import AdvisorError
from advisor.knowledge.fault import Fault
from advisor.knowledge.lined_yaml import read
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet


@dataclass(frozen=True, slots=True)
class Turn:
    """What was said, and what was said back."""

    say: str
    reply: str


@dataclass(frozen=True, slots=True)
class Recording:
    """A recorded conversation.

    `scenario` says that it is invented; `sheet` is the setup sheet's path as written, beside the recording.
    """

    path: Path
    scenario: str
    sheet_file: str
    turns: tuple[Turn, ...]

    def sheet(self) -> Sheet:
        """Read the sheet that the conversation is about."""
        return read_sheet(self.path.parent / self.sheet_file) if self.sheet_file else Sheet("", {})


def read_recording(path: Path) -> Recording:
    """Read a recording.

    Raises
    ------
    AdvisorError
        When the file cannot be read or is not of its shape; the message names the file and the field.

    """
    faults: list[Fault] = []
    document = read(path, str(path), faults)
    if faults or document is None:
        raise AdvisorError(faults[0].place_and_words)
    content = document.content
    if not isinstance(content.get("turns"), list):
        raise AdvisorError(f"{path}: expected a recording with scenario, sheet and turns")
    turns = []
    for place, turn in enumerate(content["turns"], start=1):
        if not isinstance(turn, dict) or not isinstance(turn.get("say"), str):
            raise AdvisorError(f"{path}: turn {place}: expected 'say' as text (and 'reply'); quote the words")
        turns.append(Turn(turn["say"], str(turn.get("reply") or "")))
    return Recording(path, str(content.get("scenario", "")), str(content.get("sheet") or ""), tuple(turns))


def replay(recording: Recording, conversation: Conversation, in_words: Callable[[Reply], str]) -> list[Turn]:
    """Play a recording again.

    Parameters
    ----------
    recording
        What was said then.
    conversation
        Answers it now.
    in_words
        Turns a reply into lines.

    Returns
    -------
    list of Turn
        The same lines with the replies of now.

    """
    state, _ = conversation.begin(recording.sheet())
    played = []
    for turn in recording.turns:
        state, reply = conversation.hear(state, turn.say)
        played.append(Turn(turn.say, in_words(reply)))
    return played


def written(recording: Recording, turns: list[Turn]) -> dict[str, Any]:
    """Return a recording as the document to write."""
    return {
        "scenario": recording.scenario,
        "sheet": recording.sheet_file,
        "turns": [{"say": turn.say, "reply": turn.reply} for turn in turns],
    }
