"""The book holds everything that the advisor knows, and nothing that a browser would run or fetch."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from advisor.geometry.register import MEASURES
from advisor.graph.knowledge import load_knowledge
from advisor.workshop.training.book import book

_VOID = {"meta", "br", "line", "path", "circle", "rect"}


@pytest.fixture(scope="module")
def page() -> str:
    return book(load_knowledge())


class _Page(HTMLParser):
    """Collects what a page names, links and leaves open."""

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.tags: set[str] = set()
        self.open: list[str] = []
        self.fetched: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        given = dict(attrs)
        if given.get("id"):
            self.ids.append(str(given["id"]))
        if tag == "a":
            self.links.append(str(given.get("href")))
        if "src" in given or (tag == "link"):
            self.fetched.append(tag)
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in _VOID:
            assert self.open.pop() == tag


def test_every_entry_cause_and_measure_stands_in_it_once(page: str) -> None:
    knowledge, found = load_knowledge(), _Page()
    found.feed(page)
    wanted = {f"entry-{name}" for name in knowledge.entry_ids}
    wanted |= {f"cause-{name}" for name in knowledge.compiled["causes"]} | {f"measure-{name}" for name in MEASURES}
    assert wanted <= set(found.ids)
    assert len(set(found.ids)) == len(found.ids)
    assert not found.open


def test_every_link_leads_somewhere_in_the_page(page: str) -> None:
    found = _Page()
    found.feed(page)
    assert {link for link in found.links if link.lstrip("#") not in found.ids} == set()
    assert all(link.startswith("#") for link in found.links)


def test_it_runs_nothing_and_fetches_nothing(page: str) -> None:
    found = _Page()
    found.feed(page)
    assert not {"script", "iframe", "img", "object"} & found.tags and not found.fetched
    assert not re.search(r"url\(|@import|\son\w+=", page)


def test_no_placeholder_is_left_open(page: str) -> None:
    body = page.partition("<body>")[2]
    assert re.findall(r"\{[a-z_.]+\}", re.sub(r"<svg.*?</svg>", "", body, flags=re.S)) == []


def test_every_source_and_caution_is_printed(page: str) -> None:
    knowledge = load_knowledge()
    from advisor.draw.paper import escaped

    for name in knowledge.compiled["cautions"]:
        assert escaped(knowledge.caution(name)) in page
    for name in knowledge.compiled["sources"]:
        assert escaped(knowledge.source(name)) in page


def test_what_is_asked_before_every_suspect_is_told_once(page: str) -> None:
    knowledge = load_knowledge()
    entry = knowledge.entry("sore_back_knee")
    start = page.index('id="entry-sore_back_knee"')
    section = page[start : page.index("<h3", start)]
    for fact in ("knee_signs", "knee_sign"):
        question = knowledge.facts[fact].question
        assert section.count(f"</span></td><td>{question}<br>") == 1, question
    assert (
        section.count("what it may be, the likeliest first") == 3
    )  # after the signs at once, one by one, and after which of them
    assert len(entry.suspects) > 2
