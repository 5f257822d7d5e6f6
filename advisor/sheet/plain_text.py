"""Moved to `advisor.plain_text`."""

from advisor.plain_text import *  # noqa: F403
