"""What can go wrong with a case log; each message says what is wrong, where, and what to do."""

from __future__ import annotations

from advisor.errors import AdvisorError


class StoreError(AdvisorError):
    """The case log cannot be used as it was asked to be."""


class UnreachableError(StoreError):
    """The case log cannot be read or written now: no server, no room, no permission, or busy for too long."""


class DamagedError(StoreError):
    """The case log's file is damaged; nothing was changed."""


class NewerError(StoreError):
    """The case log was written by a newer advisor; nothing was changed."""


class NoSuchCaseError(StoreError):
    """No case has that number, and no customer that alias."""
