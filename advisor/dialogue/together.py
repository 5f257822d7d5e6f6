"""Two complaints on one sheet: what solves both at once, and at what price."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from advisor.dialogue.answer import Answer
from advisor.errors import UnknownName

if TYPE_CHECKING:
    from advisor.solve.tradeoff import TradeOff


def together(earlier: Sequence[Answer], latest: Answer) -> TradeOff | None:
    """Weigh the latest complaint together with those answered before on the same sheet.

    Parameters
    ----------
    earlier
        Answers given before.
    latest
        The answer just found.

    Returns
    -------
    TradeOff or None
        None unless two complaints or more ask for measures to come right, or where they want the same measure in
        different ranges; questions alone are answered each by itself.

    """
    answers = [one for one in (*earlier, latest) if one.aims and one.choice]
    if len(answers) < 2 or latest not in answers or all(one.walk.entry.kind == "question" for one in answers):
        return None
    from advisor.solve.limits import Scope
    from advisor.solve.tradeoff import trade_off

    complaints = {one.walk.entry.title: one.aims for one in answers}
    try:
        return trade_off(latest.case.sheet, complaints, known=latest.case.known, scope=Scope("most"))
    except UnknownName:
        return None
