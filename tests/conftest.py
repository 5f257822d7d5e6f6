"""What every test shares: where the project lies, and how many examples a property gets."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.internal.conjecture import providers

ROOT = Path(__file__).parent.parent
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

# Same examples at every run of the suite; `HYPOTHESIS_PROFILE=search` looks for new ones.
_COMMON = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("suite", derandomize=True, max_examples=25, database=None, **_COMMON)
settings.register_profile("search", max_examples=250, **_COMMON)
_UNSHRUNK = (Phase.explicit, Phase.generate)
settings.register_profile("quick", derandomize=True, max_examples=8, database=None, phases=_UNSHRUNK, **_COMMON)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "suite"))

# Hypothesis also draws constants that stand in whatever modules are loaded; then a property's examples change with what
# else the run has imported, and a test fails in one run and not in the next.
providers.HypothesisProvider._local_constants = providers.Constants()

_NOT_QUICK = ("cases", "cli", "graph", "slip", "workshop")


def pytest_configure(config: pytest.Config) -> None:
    """Give properties fewer examples in the day's lane."""
    if config.option.markexpr == "quick":
        settings.load_profile("quick")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the day's lane: all but long tests, and rooms that start processes or prove the whole knowledge."""
    for item in items:
        room = item.path.relative_to(ROOT).parts[1]
        if item.get_closest_marker("slow") is None and room not in _NOT_QUICK:
            item.add_marker(pytest.mark.quick)
