"""Sheets as files: written as YAML or as a page to print, kept in the shop's folder under an alias, found again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote, unquote

from advisor.errors import AdvisorError
from advisor.plain_text import clean
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet
from advisor.shop_folder import sheets_folder

if TYPE_CHECKING:
    from collections.abc import Sequence

_LONGEST = 80


def sheet_yaml(sheet: Sheet) -> str:
    """Return a sheet as a YAML document of schema 1, which reads back the same."""
    import yaml

    told: str = yaml.safe_dump(sheet.to_dict(), sort_keys=False, allow_unicode=True, default_flow_style=None, width=120)
    return told


def _file(alias: str, environ: Mapping[str, str] | None) -> Path:
    plain = " ".join(clean(alias, _LONGEST).split())
    if not plain:
        raise AdvisorError("expected an alias of 1 to 80 characters")
    name = quote(plain.casefold(), safe=" ").replace(".", "%2E")
    return sheets_folder(environ) / f"{name}.yaml"


def keep_sheet(alias: str, sheet: Sheet, environ: Mapping[str, str] | None = None) -> Path:
    """Keep a sheet in the shop's folder, readable by its owner alone; one of the same alias is replaced.

    Raises
    ------
    AdvisorError
        When the folder can't be written.

    """
    from advisor.written_files import write_whole

    path = _file(alias, environ)
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise AdvisorError(f"{path.parent}: can't be made ({error.strerror}); check the shop's folder") from None
    write_whole(path, [sheet_yaml(sheet)], over=True)
    return path


def kept_sheet(alias: str, environ: Mapping[str, str] | None = None) -> Sheet | None:
    """Return the sheet kept under an alias, None where there is none."""
    path = _file(alias, environ)
    return Sheet("", dict(read_sheet(path).leaves)) if path.is_file() else None


def forget_sheet(alias: str, environ: Mapping[str, str] | None = None) -> bool:
    """Delete the sheet kept under an alias; returns whether there was one."""
    path = _file(alias, environ)
    there = path.is_file()
    path.unlink(missing_ok=True)
    return there


def kept_aliases(environ: Mapping[str, str] | None = None) -> Iterator[str]:
    """Yield the aliases under which sheets are kept, in small letters."""
    folder = sheets_folder(environ)
    if folder.is_dir():
        yield from sorted(unquote(path.stem) for path in folder.glob("*.yaml"))


def gear_of(sheet: Sheet) -> str:
    """Return what the shop calls this customer's gear, in words; empty where nothing has a label."""
    labels = [sheet.value(f"labels.{kind}") for kind in ("board", "boots", "bindings")]
    return ", ".join(str(label) for label in labels if label)


def sheet_page(title: str, rows: Sequence[tuple[str, str, str]], below: Sequence[str]) -> str:
    """Return a sheet as a page to print: field, value, how known; then what is assumed or doubted."""
    cells = "".join(f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>" for row in rows)
    more = "".join(f"<p>{escape(words)}</p>" for words in below)
    style = (
        "@page{margin:12mm}body{font:11pt/1.35 system-ui,sans-serif;color:#000;background:#fff}"
        "body{max-width:170mm;margin:0 auto}table{border-collapse:collapse;width:100%}"
        "td{border-bottom:.2mm solid #999;padding:.6mm 2mm}"
    )
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        f'<meta name="viewport" content="width=device-width"><style>{style}</style></head>'
        f"<body><h1>{escape(title)}</h1><table>{cells}</table>{more}</body></html>\n"
    )
