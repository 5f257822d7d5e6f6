"""The command `advisor shelf`: the shop's boards, boots and bindings, taken in, found, shown, forgotten."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.plain_text import clean

if TYPE_CHECKING:
    import argparse

    from advisor.shelf.items import Item, Kind
    from advisor.shelf.store import Shelf

ACTIONS = ("import", "list", "find", "show", "forget", "export", "where")
_MOST_FOUND = 20


def add_shelf(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor shelf`."""
    from advisor.cli.options import add_over

    words = "import FILE (.csv or .yaml), list, find LETTERS, show LABEL, forget LABEL, export FILE, where"
    parser.add_argument("action", choices=ACTIONS, metavar="ACTION", help=words)
    parser.add_argument("words", nargs="*", metavar="FILE|LABEL|LETTERS")
    parser.add_argument("--kind", choices=("board", "boots", "bindings"), help="only these")
    parser.add_argument("--fleet", action="store_true", help="only the hire fleet; with import: all of it is for hire")
    add_over(parser)


def shelf(given: argparse.Namespace, around: Surroundings) -> int:
    """Do one thing with the shelf."""
    from advisor.shelf.store import Shelf

    told = " ".join(given.words)
    if given.action in {"import", "show", "forget", "export"} and not told:
        wanted = "a file" if given.action in {"import", "export"} else "a label"
        raise AdvisorError(f"shelf {given.action}: expected {wanted}, found nothing; see 'advisor shelf --help'")
    with Shelf(around.environ) as open_shelf:
        return int(_ACTIONS[given.action](open_shelf, given, told, around))


def _import(open_shelf: Shelf, given: argparse.Namespace, told: str, around: Surroundings) -> int:
    from dataclasses import replace

    from advisor.shelf.reading import read_items

    items = read_items(Path(told))
    if given.fleet:
        items = [replace(item, fleet=True) for item in items]
    number = open_shelf.put(items)
    if given.json:
        _json(around, {"taken_in": number, "labels": open_shelf.count()})
    else:
        kept = ", ".join(f"{count} {kind}" for kind, count in sorted(open_shelf.count().items()))
        around.say(f"{number} taken in. On the shelf now: {kept or 'nothing'}.")
    return Exit.DONE


def _list(open_shelf: Shelf, given: argparse.Namespace, told: str, around: Surroundings) -> int:
    del told
    _told(list(open_shelf.every(given.kind, True if given.fleet else None)), given, around)
    return Exit.DONE


def _find(open_shelf: Shelf, given: argparse.Namespace, told: str, around: Surroundings) -> int:
    found = list(open_shelf.find(told, given.kind, _MOST_FOUND))
    _told(found, given, around)
    if not found and not given.json:
        around.note(f"nothing on the shelf begins like '{clean(told, 60)}'")
    return Exit.DONE if found else Exit.NO


def _show(open_shelf: Shelf, given: argparse.Namespace, told: str, around: Surroundings) -> int:
    found = open_shelf.get(told, given.kind)
    if not found:
        _unknown(open_shelf, told, given.kind)
    if given.json:
        _json(around, {"items": [item_json(item) for item in found]})
        return Exit.DONE
    for item in found:
        more = ", hire fleet" if item.fleet else ""
        around.say(f"{item.label} ({item.kind}{more}{f', {item.count} of them' if item.count > 1 else ''})")
        for words in item_lines(item):
            around.say(f"  {words}")
    return Exit.DONE


def _forget(open_shelf: Shelf, given: argparse.Namespace, told: str, around: Surroundings) -> int:
    number = open_shelf.forget(told, given.kind)
    if not number:
        _unknown(open_shelf, told, given.kind)
    if given.json:
        _json(around, {"forgotten": number})
    else:
        around.say(f"'{clean(told, 80)}' is off the shelf.")
    return Exit.DONE


def _export(open_shelf: Shelf, given: argparse.Namespace, told: str, around: Surroundings) -> int:
    from advisor.written_files import write_whole

    write_whole(Path(told), _yaml_lines(open_shelf, given), over=given.over, private=False)
    if given.json:
        _json(around, {"written": told})
    else:
        around.say(f"Written: {clean(told, 200)}")
    return Exit.DONE


def _where(open_shelf: Shelf, given: argparse.Namespace, told: str, around: Surroundings) -> int:
    del told
    if given.json:
        _json(around, {"folder": str(open_shelf.folder), "labels": open_shelf.count()})
    else:
        around.say(f"{open_shelf.folder}")
        around.say("Lay .csv or .yaml files there, or take one in with 'advisor shelf import FILE'.")
    return Exit.DONE


_ACTIONS: dict[str, Any] = {
    "import": _import,
    "list": _list,
    "find": _find,
    "show": _show,
    "forget": _forget,
    "export": _export,
    "where": _where,
}


def _unknown(open_shelf: Shelf, label: str, kind: Kind | None) -> None:
    near = [item.label for item in open_shelf.find(label, kind, 4)] or [
        item.label for item in open_shelf.find(label.split()[0][:3], kind, 4)
    ]
    meant = f"; did you mean {', '.join(near)}?" if near else ""
    raise AdvisorError(f"nothing on the shelf is called '{clean(label, 80)}'{meant}")


def _told(items: list[Item], given: argparse.Namespace, around: Surroundings) -> None:
    if given.json:
        _json(around, {"items": [item_json(item) for item in items]})
        return
    for item in items:
        numbers = ", ".join(item_lines(item)[:3])
        around.say(f"{item.kind:9}{item.label}{'  [hire]' if item.fleet else ''}  {numbers}".rstrip())


def item_lines(item: Item) -> list[str]:
    """Return a thing's fields in words, one a line: the measured ones say so."""
    from advisor.explain.wording import field_name
    from advisor.sheet.fields import field_rows

    lines = []
    for path, leaf in item.leaves.items():
        unit = field_rows()[path].unit
        value = f"{leaf.value:g}" if isinstance(leaf.value, float) else str(leaf.value)
        spread = f" ± {leaf.plus_minus:g}" if leaf.plus_minus else ""
        how = ", measured" if leaf.origin == "measured" else ""
        lines.append(f"{field_name(path)} {value}{f' {unit}' if unit else ''}{spread}{how}")
    return lines


def item_json(item: Item) -> dict[str, Any]:
    """Return a thing as a script reads it."""
    from advisor.shelf.items import stored

    fields = {
        path: {"value": value, "from": origin, **({} if spread is None else {"plus_minus": spread})}
        for path, (value, origin, spread) in stored(item).items()
    }
    return {"kind": item.kind, "label": item.label, "fleet": item.fleet, "count": item.count, "fields": fields}


def _yaml_lines(open_shelf: Shelf, given: argparse.Namespace) -> list[str]:
    """Return the shelf as YAML that `import` takes again: one line a thing."""
    import json

    lines: list[str] = []
    last = ""
    for item in open_shelf.every(given.kind, True if given.fleet else None):
        if item.kind != last:
            lines.append(f"{item.kind}:\n")
            last = item.kind
        fields: dict[str, Any] = {}
        for path, leaf in item_json(item)["fields"].items():
            place = fields
            *parts, name = path.partition(".")[2].split(".")
            for part in parts:
                place = place.setdefault(part, {})
            place[name] = leaf
        if item.fleet:
            fields["fleet"] = True
        if item.count > 1:
            fields["count"] = item.count
        lines.append(f"  {json.dumps(item.label, ensure_ascii=False)}: {json.dumps(fields, ensure_ascii=False)}\n")
    return lines


def _json(around: Surroundings, content: dict[str, Any]) -> None:
    from advisor.cli.as_json import dumps

    around.say(dumps({"schema": 1, **content}))
