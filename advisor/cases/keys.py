"""What a case is found by: short, plain forms of its texts; the texts as given are kept in the case's body."""

from __future__ import annotations

import unicodedata
from hashlib import sha256

_LONGEST_ALIAS = 160
_LONGEST_WORDS = 400


def storable(text: str, longest: int = _LONGEST_WORDS) -> str:
    """Return a text without what a database column can't hold (NUL, half a surrogate pair), cut.

    Examples
    --------
    >>> storable("a\\x00b")
    'ab'

    """
    return "".join(sign for sign in text[:longest] if sign != "\0" and not "\ud800" <= sign <= "\udfff")


def search_key(text: str, longest: int = _LONGEST_WORDS) -> str:
    """Return a text in small letters with single spaces, without signs that can't be seen.

    Examples
    --------
    >>> search_key("  Blue\\t158 ")
    'blue 158'

    """
    folded = unicodedata.normalize("NFKC", text[: 4 * longest]).casefold()
    seen = "".join(" " if sign.isspace() else sign for sign in folded)
    return " ".join("".join(sign for sign in seen if unicodedata.category(sign)[0] != "C").split())[:longest]


def alias_key(alias: str) -> str:
    """Return what tells two customers apart; long or invisible aliases are told apart by a hash.

    Examples
    --------
    >>> alias_key("Kim 7") == alias_key(" kim\\u200b  7")
    True
    >>> alias_key("\\u200b") == alias_key("\\u200c")
    False

    """
    key = search_key(alias, _LONGEST_ALIAS)
    if key and len(alias) <= _LONGEST_ALIAS:
        return key
    mark = sha256(alias.encode("utf-8", "surrogatepass")).hexdigest()[:24]
    return f"{key[: _LONGEST_ALIAS - 30]} #{mark}".strip()


def milliseconds(moment: str) -> int:
    """Return an ISO 8601 moment as milliseconds since 1970.

    Examples
    --------
    >>> milliseconds("1970-01-01T00:00:01.500Z")
    1500

    """
    from datetime import UTC, datetime, timedelta

    since = datetime.fromisoformat(moment) - datetime(1970, 1, 1, tzinfo=UTC)
    return since // timedelta(milliseconds=1)
