"""Exit codes, a promise to users' scripts."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """What the process tells its caller; 70 is a fault of the advisor itself."""

    DONE = 0
    NO = 1
    BAD_INPUT = 2
    BROKEN = 70
    INTERRUPTED = 130
