"""The slip as HTML: one file, no script, nothing loaded from anywhere, greys alone."""

from __future__ import annotations

from advisor import __version__
from advisor.draw.paper import escaped
from advisor.plain_text import clean
from advisor.slip.content import Slip
from advisor.slip.fitting import PAGE_MM, fitted, pictures
from advisor.slip.inputs import inputs_json

_LARGER = 1.34
"""How much larger the page is on paper that leaves room for it: US Letter leaves 200 by 263 mm, A4 194 by 281 mm."""

_STYLE = """
@page { margin: 8mm; }
:root { --mm: 1mm; }
* { box-sizing: border-box; }
body { margin: 0 auto; width: calc(WIDTH * var(--mm)); font: calc(LETTERS * var(--mm))/1.32 Arial, Helvetica,
  "Liberation Sans", sans-serif; font-size-adjust: 0.52; color: #000; background: #fff; overflow-wrap: anywhere; }
@media screen { :root { --mm: 1.5mm; } body { padding: 6mm 0; } }
@media print and (min-width: 170mm) { :root { --mm: LARGERmm; } }
header { display: flex; justify-content: space-between; gap: 1em; margin-bottom: 0.2em;
  border-bottom: 0.12em solid #000; }
header span { white-space: nowrap; }
header span:first-child { font-weight: bold; overflow: hidden; text-overflow: ellipsis; }
h1 { font-size: 1.25em; line-height: 1.25; margin: 0.3em 0 0.1em; }
h2 { font-size: 1em; margin: 0.45em 0 0.1em; }
p { margin: 0 0 0.2em; }
svg { display: block; width: PICTURES%; height: auto; margin: 0.3em auto 0; }
ul { list-style: none; margin: 0; padding: 0; }
ul li { position: relative; padding-left: 1em; }
ul li::before { content: "•"; position: absolute; left: 0.2em; }
ol { list-style: none; margin: 0 0 0.25em; padding: 0; border: 0.1em solid #000; }
ol li { display: flex; gap: 0.6em; padding: 0.14em 0.5em; border-top: 0.05em solid #777; }
ol li:first-child { border-top: 0; }
ol li::before { content: ""; flex: none; width: 0.85em; height: 0.85em; margin-top: 0.22em; border: 0.1em solid #000; }
.two { display: flex; gap: 1.4em; }
.two > div { flex: 1; min-width: 0; }
footer { margin-top: 0.5em; padding-top: 0.15em; border-top: 0.05em solid #000; font-size: 0.85em; }
"""


def page(slip: Slip) -> str:
    """Return a slip as a whole HTML document.

    Text from outside is cleaned of control characters and escaped; the inputs stand in a block of data that no browser
    runs, so that `advisor replay` can find the answer again.
    """
    slip, size = fitted(slip)
    above, sections, _ = pictures(slip, size.pictures * PAGE_MM[0])
    style = _STYLE.replace("WIDTH", f"{PAGE_MM[0]:g}").replace("LARGER", f"{_LARGER:g}")
    style = style.replace("LETTERS", f"{size.letters_mm:g}").replace("PICTURES", f"{100 * size.pictures:g}")
    parts = [
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">",
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>Slip {escaped(slip.number)}</title>",
        f"<style>{style}</style>\n</head>\n<body>",
        f"<header><span>{escaped(slip.alias)}</span> <span>{escaped(slip.date)}</span> "
        f"<span>case {escaped(slip.number)}</span></header>",
        "<main>",
        _said("p", f"“{slip.complaint}”" if slip.complaint else ""),
        _said("h1", slip.title),
        _said("p", slip.because),
        _said("p", slip.earlier),
        above,
        sections,
        *_do(slip),
        *_after(slip),
        "</main>",
        f"<footer>{escaped(footer(slip))}</footer>",
        f'<script type="application/json" id="advisor-slip">{inputs_json(slip.record)}</script>',
        "</body>\n</html>",
    ]
    return "\n".join(part for part in parts if part) + "\n"


def footer(slip: Slip) -> str:
    """Return what the slip rests on."""
    knowledge = clean(slip.record.knowledge)
    return f"Rests on knowledge {knowledge}, advisor {__version__}. The makers' instructions come first."


def _do(slip: Slip) -> list[str]:
    made = [_said("h2", slip.does)]
    if slip.checks:
        items = "".join(
            f"<li><span>{f'<b>{escaped(check.words)}</b>' if check.main else escaped(check.words)}</span></li>"
            for check in slip.checks
        )
        made.append(f"<ol>{items}</ol>")
    return [*made, _said("p", slip.told), _said("p", slip.costs)]


def _after(slip: Slip) -> list[str]:
    left = [_said("h2", "On the next run"), _said("p", slip.feel)] if slip.feel else []
    left += _listed("Come back", slip.come_back)
    right = _listed("Mind", slip.cautions)
    columns = [f"<div>{''.join(column)}</div>" for column in (left, right) if column]
    return [f'<div class="two">{"".join(columns)}</div>'] if columns else []


def _listed(heading: str, items: tuple[str, ...]) -> list[str]:
    if not items:
        return []
    return [_said("h2", heading), f"<ul>{''.join(f'<li>{escaped(one)}</li>' for one in items)}</ul>"]


def _said(tag: str, words: str) -> str:
    return f"<{tag}>{escaped(words)}</{tag}>" if words else ""
