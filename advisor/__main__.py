"""Run as `python -m advisor`."""

from advisor.cli.main import entry_point

entry_point()
