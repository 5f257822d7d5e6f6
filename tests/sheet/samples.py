"""Sheets to test on."""

from __future__ import annotations

import copy
from functools import cache
from pathlib import Path
from typing import Any

import yaml

DEMO = Path(__file__).parents[2] / "transcripts_demo" / "larchfall_heel.yaml"


@cache
def _demo() -> dict[str, Any]:
    document: dict[str, Any] = yaml.safe_load(DEMO.read_text(encoding="utf-8"))
    return document


def demo_document() -> dict[str, Any]:
    """Return the demo sheet as a fresh document."""
    return copy.deepcopy(_demo())


def put(document: dict[str, Any], path: str, value: Any) -> None:
    """Set a value in a document, making sections on the way; does nothing where a plain value stands in the way."""
    *parts, name = path.split(".")
    place: Any = document
    for part in parts:
        place = place.setdefault(part, {})
        if not isinstance(place, dict):
            return
    place[name] = copy.deepcopy(value)
