"""Moved to `advisor.knowledge.tables`."""

from advisor.knowledge.tables import *  # noqa: F403
