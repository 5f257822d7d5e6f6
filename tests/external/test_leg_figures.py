"""The published figures that stand in `trees/practice.yaml` for the leg, typed from their sources once more."""

from __future__ import annotations

import pytest

from tests.make_setup import practice, practice_plus_minus

# Kouyoumdjian et al., OTSR 98 (2012) 17-23: hip rotation supine, external 38.5 and internal 29.6 degrees (abstract).
HIP_OUTWARD, HIP_INWARD = 38.5, 29.6
# Clin. Orthop. Feb 2000: knee rotation 31.7 degrees at 30 degrees of bend, 24 specimens (abstract).
KNEE_ROTATION = 31.7
# Bell, Brand & Pedersen 1989: within 3.3 cm with 95 % certainty (abstract).
HIP_JOINT_MM = 33


def test_the_hip_opens_as_far_as_published() -> None:
    assert practice().hip_opening_limit_deg == HIP_OUTWARD


def test_the_knees_share_is_that_of_its_travel_in_the_legs() -> None:
    """That travel is shared as stiffness is, is our assumption; the two travels are published."""
    travel = KNEE_ROTATION / (KNEE_ROTATION + HIP_OUTWARD + HIP_INWARD)
    assert practice().knee_twist_share == pytest.approx(travel, abs=0.005)


def test_where_the_hip_joint_lies_is_as_unsure_as_published() -> None:
    assert practice_plus_minus()["practice.hip_joint_mm"] == HIP_JOINT_MM
