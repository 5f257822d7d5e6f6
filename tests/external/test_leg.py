"""The leg's and the foot's shares against published body measures (`values.py`)."""

from __future__ import annotations

import pytest

from advisor.geometry.leg import hip_separation_mm
from advisor.sheet.setup import Rider, Setup
from tests.external import values
from tests.make_setup import practice, practice_plus_minus


@pytest.mark.parametrize(("pelvis", "bell", "harrington"), values.HIP_CENTRES)
def test_hip_joints_agree_with_two_published_regressions(pelvis: float, bell: float, harrington: float) -> None:
    separation = hip_separation_mm(Setup(rider=Rider(pelvis_width_mm=pelvis)))
    assert separation == pytest.approx(bell, abs=0.05)
    assert separation == pytest.approx(harrington, abs=1.01)


def test_the_ball_of_the_foot_lies_at_the_measured_share() -> None:
    share, half = practice().ball_place_share, practice_plus_minus()["practice.ball_place_share"]
    men, women = (
        ball / foot for ball, foot in zip(values.ANSUR_BALL_OF_FOOT_LENGTH, values.ANSUR_FOOT_LENGTH, strict=True)
    )
    assert share == pytest.approx(men, abs=0.0005)
    assert abs(share - women) < half


def test_the_heel_presses_half_its_breadth_from_the_back() -> None:
    share, half = practice().heel_place_share, practice_plus_minus()["practice.heel_place_share"]
    men, women = (
        heel / 2 / foot for heel, foot in zip(values.ANSUR_HEEL_BREADTH, values.ANSUR_FOOT_LENGTH, strict=True)
    )
    assert share == pytest.approx(men, abs=0.0005)
    assert abs(share - women) < half


def test_the_knee_takes_its_share_of_the_travel_of_knee_and_hip() -> None:
    share = values.KNEE_ROTATION / (values.KNEE_ROTATION + sum(values.HIP_ROTATION))
    assert practice().knee_twist_share == pytest.approx(share, abs=0.005)
