"""From a rider's own words to the entries of the catalogue: offline, at once, and explained.

>>> from advisor.match import load_matcher
>>> load_matcher().match("my heel edge lets go in every turn").matches[0].id
'heel_washout'
"""

from advisor.match.api import Match, Matching, Told
from advisor.match.matcher import Matcher, load_matcher

__all__ = ["Match", "Matcher", "Matching", "Told", "load_matcher"]
