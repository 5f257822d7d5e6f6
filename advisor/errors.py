"""Every error the advisor raises on purpose; each message says what is wrong, where, and what to do."""

from __future__ import annotations

from collections.abc import Sequence


class AdvisorError(Exception):
    """The base of all errors meant for a person to read."""


class KnowledgeError(AdvisorError):
    """The knowledge in `trees/` is not sound, so it must not be used."""


class SheetError(AdvisorError):
    """A setup sheet could not be used; carries every fault found in it.

    Parameters
    ----------
    faults
        One line each: where (file, line, field), what was found, what is expected.

    """

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


class UnknownName(AdvisorError):
    """A name (entry, field, measure, adjustment) does not exist; the message lists what does."""
