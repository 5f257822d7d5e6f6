"""The slip for the terminal, from the same content and the same scenes."""

from __future__ import annotations

from advisor.draw.terminal import render
from advisor.explain.text import Block, Drawing, Heading, Points, Say, Text
from advisor.slip.content import Slip
from advisor.slip.page import footer


def slip_text(slip: Slip, width: int = 80, ascii_only: bool = False) -> Text:
    """Return a slip in the text model, pictures included.

    Parameters
    ----------
    slip
        From `slip_of`.
    width
        Columns of the terminal.
    ascii_only
        Whether pictures and boxes must do with plain ASCII.

    """
    box = "[ ]" if ascii_only else "☐"
    blocks: list[Block] = [Heading(f"{slip.alias}, {slip.date}, case {slip.number}")]
    if slip.complaint:
        blocks.append(Say(f'"{slip.complaint}"'))
    blocks += [Heading(slip.title), Say(slip.because)] if slip.because else [Heading(slip.title)]
    if slip.earlier:
        blocks.append(Say(slip.earlier))
    for scene in (slip.above, *(scene for _, scene in slip.sections)):
        if scene:
            blocks += [Drawing(("",)), Drawing(tuple(render(scene, width, ascii_only, slip.units)))]
    if slip.does:
        blocks.append(Heading(slip.does))
    if slip.checks:
        blocks.append(Points(tuple(f"{box} {check.words}" for check in slip.checks)))
    blocks += [Say(words) for words in (slip.told, slip.costs) if words]
    if slip.feel:
        blocks += [Heading("On the next run"), Say(slip.feel)]
    if slip.come_back:
        blocks += [Heading("Come back"), Points(slip.come_back)]
    if slip.cautions:
        blocks += [Heading("Mind"), Points(slip.cautions)]
    return (*blocks, Say(footer(slip)))
