"""What every test shares: where the project lies, and how many examples a property gets."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from hypothesis import HealthCheck, settings

ROOT = Path(__file__).parent.parent
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

# Same examples at every run of the suite; `HYPOTHESIS_PROFILE=search` looks for new ones.
_COMMON = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("suite", derandomize=True, max_examples=25, database=None, **_COMMON)
settings.register_profile("search", max_examples=250, **_COMMON)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "suite"))
