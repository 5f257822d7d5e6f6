"""The cause and fix book: everything in `trees/` and the geometry core as one HTML page, for reading at the bench.

Nothing is written by hand here but headings. Numbers are worked on one set-up, the ordinary one of
`trees/ordinary_sheet.yaml`; the page needs no script and loads nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from advisor.draw.above import from_above
from advisor.draw.paper import escaped
from advisor.draw.section import in_section
from advisor.draw.svg import render
from advisor.explain.filling import fill
from advisor.explain.wording import quantity, short_name
from advisor.geometry.measuring import Measurements, measure_all
from advisor.geometry.register import MEASURES
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import CLEARED, Aim, Ask, Cause, Check, Do, Entry, Jump, Node, Tell
from advisor.knowledge.trees import authors
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.solve.adjustments import load_adjustments
from advisor.solve.windows import load_windows
from advisor.workshop.graph_drawing.labels import kind_of, label, links
from advisor.workshop.random_riders import ordinary_sheet

_STYLE = """
:root { color-scheme: light dark; --line: #8886; --soft: #8881; --mark: #b4500a; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 62rem; padding: 1rem 1.2rem 4rem; line-height: 1.45;
  font: 1rem/1.45 system-ui, "Liberation Sans", sans-serif; overflow-wrap: break-word; }
h1 { font-size: 1.7rem; margin: .2em 0; } h2 { margin: 2.2em 0 .4em; border-bottom: 2px solid var(--line); }
h3 { margin: 1.6em 0 .2em; scroll-margin-top: .5rem; } h4 { margin: 1em 0 .2em; }
nav ul { columns: 3 14rem; column-gap: 2rem; padding-left: 1.1rem; }
table { border-collapse: collapse; width: 100%; margin: .4em 0; font-size: .93rem; }
th, td { text-align: left; vertical-align: top; padding: .2em .6em .2em 0; border-bottom: 1px solid var(--line); }
td.n { text-align: right; white-space: nowrap; }
figure { margin: .8em 0; background: #fff; color: #000; padding: .5em; overflow-x: auto; }
figure svg { max-width: 100%; height: auto; }
figcaption { font-size: .85rem; }
details { margin: .4em 0; padding: .2em .6em; background: var(--soft); border-radius: .3em; }
summary { cursor: pointer; }
code { font-size: .9em; } .source { font-size: .85rem; opacity: .75; } .kind { color: var(--mark); font-size: .82rem; }
.kind, .n { white-space: nowrap; }
dd { margin: 0 0 .3em 1.2em; }
@media print { details { display: block; } nav { display: none; } h3 { break-after: avoid; } }
"""


@dataclass
class _Book:
    knowledge: Knowledge
    known: Known
    taken: Measurements
    parts: list[str] = field(default_factory=list)

    def add(self, *lines: str) -> None:
        self.parts.extend(lines)


def book(knowledge: Knowledge) -> str:
    """Return the whole page as HTML text."""
    known = resolve(ordinary_sheet())
    made = _Book(knowledge, known, measure_all(known))
    _head(made)
    _pictures(made)
    made.add('<h2 id="entries">Complaints and questions</h2>')
    for name in knowledge.entry_ids:
        _entry(made, knowledge.entry(name))
    made.add('<h2 id="causes">Causes</h2>')
    used = _where_used(knowledge)
    for name in knowledge.compiled["causes"]:
        _cause(made, name, used.get(name, []))
    _measures(made)
    _adjustments(made)
    _lists(made)
    made.add("</body>", "</html>")
    return "\n".join(made.parts) + "\n"


def _tag(name: str, words: str, ident: str = "", kind: str = "") -> str:
    marks = (f' id="{ident}"' if ident else "") + (f' class="{kind}"' if kind else "")
    return f"<{name}{marks}>{escaped(words)}</{name}>"


def _table(columns: Iterable[str], rows: Iterable[Iterable[str]]) -> Iterator[str]:
    """Yield a table; cells are HTML already."""
    yield "<table><thead><tr>" + "".join(f"<th>{escaped(one)}</th>" for one in columns) + "</tr></thead><tbody>"
    for row in rows:
        yield "<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>"
    yield "</tbody></table>"


def _head(made: _Book) -> None:
    names = made.knowledge.entry_ids
    compiled = made.knowledge.compiled
    made.add(
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">',
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">",
        '<meta name="viewport" content="width=device-width, initial-scale=1"><title>Cause and fix book</title>',
        f"<style>{_STYLE}</style></head><body>",
        "<h1>Cause and fix book</h1>",
        f"<p>{len(names)} complaints and questions, {len(compiled['causes'])} causes, {len(MEASURES)} measures, "
        f"{len(load_adjustments(made.knowledge.trees))} adjustments, as the advisor knows them. Made from its "
        "trees and its geometry. "
        "Worked numbers are those of one ordinary, invented set-up. Thresholds marked “common practice” have no "
        "published source. The makers’ instructions come first. Pain that lasts is for a doctor or "
        "physiotherapist.</p>",
        "<nav><ul>",
    )
    for ident, words in (
        ("pictures", "Pictures"), ("entries", "Complaints and questions"), ("causes", "Causes"),
        ("measures", "Measures and formulas"), ("adjustments", "Adjustments"), ("referrals", "Who else helps"),
        ("cautions", "Cautions"), ("sources", "Sources"),
    ):  # fmt: skip
        made.add(f'<li><a href="#{ident}"><b>{words}</b></a></li>')
    for name in names:
        made.add(f'<li><a href="#entry-{name}">{escaped(made.knowledge.entry(name).title)}</a></li>')
    made.add("</ul></nav>")


def _pictures(made: _Book) -> None:
    setup = made.known.setup
    made.add(
        '<h2 id="pictures">Pictures</h2>',
        "<p>The ordinary set-up to scale: from above, and each foot cut square to its edge with the tilts at which its "
        "parts meet the snow.</p>",
        f"<figure>{render(from_above(setup), 170)}<figcaption>From above</figcaption></figure>",
    )
    for edge in ("toe", "heel"):
        scene = in_section(setup, "back", "toe" if edge == "toe" else "heel")
        made.add(f"<figure>{render(scene, 170)}<figcaption>Back foot at the {edge} edge</figcaption></figure>")


# ---------------------------------------------------------------- entries and causes


def _entry(made: _Book, entry: Entry) -> None:
    made.add(_tag("h3", entry.title, f"entry-{entry.id}"), f"<p>{escaped(entry.means)}.</p>")
    rows = [
        (
            f'<span class="n">{suspect.odds:.0%}</span>',
            escaped(suspect.words),
            " ".join(f'<a href="#cause-{name}">{escaped(made.knowledge.cause(name).title)}</a>.' for name in causes),
        )
        for suspect in sorted(entry.suspects, key=lambda one: one.odds, reverse=True)
        for causes in [_causes_from(entry, suspect.start)]
    ]
    made.add(*_table(("odds", "what it may be", "causes"), rows))
    made.add("<details><summary>How it is found out, step by step</summary>")
    steps = []
    for name in _in_order(entry):
        node, suspect = entry.nodes[name], name.partition("@")[2]
        if isinstance(node, Jump):
            continue
        ways = "<br>".join(
            f"{escaped(link.words)}{' → ' if link.words else '→ '}"
            f"{'what it may be, the likeliest first' if link.to == suspect else _name_of(made, entry, link.to)}"
            for link in links(made.knowledge, entry, name)
        )
        said = f"<br><i>{escaped(node.says)}</i>" if isinstance(node, Check | Ask) else ""
        why = f"<br>{escaped(node.how_so)}" if isinstance(node, Check | Ask) else ""
        told = f"{_linked(made, node)}{said}{why}"
        steps.append((f'<span class="kind">{kind_of(node)}</span>', told, ways))
    made.add(*_table(("", "what", "leads to"), steps), "</details>")
    cautions = [made.knowledge.caution(name) for name in entry.cautions]
    if cautions:
        made.add(f"<p><b>Mind:</b> {escaped(' '.join(cautions))}</p>")


def _in_order(entry: Entry) -> list[str]:
    """Return the nodes to tell of: what is asked before any suspect once and first, then the others as written."""
    _, _, suspect = entry.suspects[0].start.partition("@")
    first = [name for name in entry.nodes if suspect and name.endswith(f"@{suspect}")]
    return first + [name for name in entry.nodes if "@" not in name]


def _linked(made: _Book, node: Node) -> str:
    knowledge, known = made.knowledge, made.known
    words = escaped(label(knowledge, node))
    if isinstance(node, Aim):
        names = dict.fromkeys(short_name(target.measure.removeprefix("foot.")) for target in node.targets)
        return escaped(f"bring right: {', '.join(names)}")
    if isinstance(node, Do):
        steps = f"{abs(node.steps)} step{'' if abs(node.steps) == 1 else 's'} {'more' if node.steps > 0 else 'less'}"
        return escaped(f"{load_adjustments(authors())[node.adjustment].words}, {steps}")
    if isinstance(node, Tell):
        return escaped(fill(node.says, known, ("back",)))
    if isinstance(node, Cause):
        return f'<a href="#cause-{node.cause}">{words}</a>'
    if isinstance(node, Check) and node.measure in MEASURES:
        return f'<a href="#measure-{node.measure}">{words}</a>'
    return words


def _name_of(made: _Book, entry: Entry, to: str) -> str:
    if to == CLEARED:
        return "not this"
    node = entry.nodes[to]
    while isinstance(node, Jump):
        node = entry.nodes[node.go]
    if isinstance(node, Tell):
        return "what is said below"
    return _linked(made, node)


def _causes_from(entry: Entry, start: str) -> list[str]:
    """Return every cause that can be come to from a node, in order."""
    found: dict[str, None] = {}
    seen: set[str] = set()
    waiting = [start]
    while waiting:
        place = waiting.pop(0)
        if place in seen or place == CLEARED:
            continue
        seen.add(place)
        node = entry.nodes[place]
        if isinstance(node, Cause):
            found[node.cause] = None
        elif isinstance(node, Jump):
            waiting.append(node.go)
        elif isinstance(node, Check):
            waiting += [*(branch.go for branch in node.branches), *([node.unknown] if node.unknown else [])]
        elif isinstance(node, Ask):
            waiting += [*(choice.go for choice in node.choices), node.unsure]
    return list(found)


def _where_used(knowledge: Knowledge) -> dict[str, list[str]]:
    used: dict[str, list[str]] = {}
    for name in knowledge.entry_ids:
        for node in knowledge.entry(name).nodes.values():
            if isinstance(node, Cause) and name not in used.setdefault(node.cause, []):
                used[node.cause].append(name)
    return used


def _cause(made: _Book, name: str, entries: list[str]) -> None:
    cause = made.knowledge.cause(name)
    made.add(
        _tag("h3", cause.title, f"cause-{name}"),
        f"<p>{escaped(fill(cause.because, made.known, ('back',)))}</p>",
        f"<p><b>The mechanics.</b> {escaped(fill(cause.how_so, made.known, ('back',)))}</p>",
        f"<p><b>To feel for.</b> {escaped(fill(cause.feel, made.known, ('back',)))}</p>",
    )
    if cause.cautions:
        made.add(f"<p><b>Mind:</b> {escaped(' '.join(made.knowledge.caution(one) for one in cause.cautions))}</p>")
    where = ", ".join(f'<a href="#entry-{one}">{escaped(made.knowledge.entry(one).title)}</a>' for one in entries)
    made.add(f'<p class="source">Source: {escaped(made.knowledge.source(cause.source))}. Comes up in: {where}.</p>')


# ---------------------------------------------------------------- measures, adjustments, lists


def _measures(made: _Book) -> None:
    made.add('<h2 id="measures">Measures and formulas</h2>', "<dl>")
    for name, wanted in MEASURES.items():
        made.add(f'<dt id="measure-{name}"><b>{escaped(short_name(name))}</b> <code>{name}</code></dt>')
        made.add(f"<dd>{escaped(wanted.words)}</dd>")
        for one in made.taken.values():
            if one.measure.id == name and one.known and (one.place.side in {None, "back"}):
                value = quantity(one.value, wanted.unit)
                spread = f" ± {quantity(one.plus_minus, wanted.unit)}" if one.plus_minus else ""
                made.add(f"<dd><code>{'back foot: ' if one.place.side else ''}{escaped(one.formula)}</code>")
                made.add(f"= {escaped(value + spread)}</dd>")
        window = load_windows(authors()).window(name, made.known.setup)
        if window:
            made.add(
                f"<dd>Good: {escaped(window.good.words(wanted.unit))}, because {escaped(window.why)}. "
                f'<span class="source">{escaped(made.knowledge.source(window.source))}</span></dd>'
            )
        made.add(f'<dd class="source">Formula: {escaped(made.knowledge.source(wanted.source))}</dd>')
    made.add("</dl>")


def _adjustments(made: _Book) -> None:
    made.add('<h2 id="adjustments">Adjustments</h2>')
    rows = []
    for one in load_adjustments(authors()).values():
        steps = "; ".join(
            f"{way.unit}: step {_bound(way.step)}, {_bounds(way.bounds)}"
            if not way.values
            else f"{way.unit}: {', '.join(f'{value:g}' for value in way.values)}"
            for way in one.ways
            if way.unit
        )
        rows.append(
            (
                escaped(one.words),
                escaped(steps or "by hand"),
                f"{one.work.turns:g} turns, {one.work.minutes + one.minutes:g} min",
                escaped(one.caution),
            )
        )
    made.add(*_table(("what", "steps and bounds", "work", "mind"), rows))


def _bound(bound: object) -> str:
    return f"{bound:g}" if isinstance(bound, int | float) else str(bound)


def _bounds(bounds: object) -> str:
    if isinstance(bounds, tuple) and len(bounds) == 2:
        return f"from {_bound(bounds[0])} to {_bound(bounds[1])}"
    return f"within {bounds}"


def _lists(made: _Book) -> None:
    compiled = made.knowledge.compiled
    made.add('<h2 id="referrals">Who else helps</h2>')
    referrals = [made.knowledge.referral(name) for name in compiled["referrals"]]
    rows = [(escaped(one.to), escaped(fill(one.says, made.known, ("back",)))) for one in referrals]
    made.add(*_table(("who or what", "what is said"), rows))
    made.add('<h2 id="cautions">Cautions</h2>', "<ul>")
    made.add(*(_tag("li", made.knowledge.caution(name)) for name in compiled["cautions"]), "</ul>")
    made.add('<h2 id="sources">Sources</h2>', "<ul>")
    made.add(*(_tag("li", made.knowledge.source(name)) for name in compiled["sources"]), "</ul>")
