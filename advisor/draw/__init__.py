"""To-scale pictures: one scene from the geometry core, painted for the terminal or as SVG."""

from advisor.draw.above import from_above
from advisor.draw.section import in_section

__all__ = ["from_above", "in_section"]
