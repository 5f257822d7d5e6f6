"""Slips in a real browser: one page on every paper, nothing cut off, text that can be selected, right in grey."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from advisor.cases.of_answer import record_of
from advisor.slip.content import Slip, slip_of
from advisor.slip.drawing import drawing
from advisor.slip.page import page
from tests.cases.making import HOSTILE
from tests.slip.browser import CHROMIUM, PAPERS_IN, Browser, pages
from tests.slip.making import answers_of_every_entry, heel_case, hostile_case, varied_slips

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed here; CI installs it")

_CUT_OFF = """[...document.querySelectorAll('body *')]
  .filter(e => e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0)
  .filter(e => !(e instanceof SVGElement) && !e.matches('header span'))
  .map(e => e.tagName + ': ' + e.textContent.slice(0, 60))"""
_OUTSIDE = """[...document.querySelectorAll('svg text')].filter(t => {
  const box = t.getBoundingClientRect(), all = t.ownerSVGElement.getBoundingClientRect();
  return box.left < all.left - 1 || box.right > all.right + 1 || box.top < all.top - 1 || box.bottom > all.bottom + 1;
}).map(t => t.textContent)"""
_OVERLAPPING = """(() => { const found = [];
  for (const svg of document.querySelectorAll('svg')) {
    const all = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBoundingClientRect()]);
    all.forEach(([a, p], i) => all.slice(i + 1).forEach(([b, q]) => {
      const wide = Math.min(p.right, q.right) - Math.max(p.left, q.left);
      const tall = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
      if (wide > 1 && tall > 0.4 * Math.min(p.height, q.height)) found.push(a + ' | ' + b);
    }));
  } return found; })()"""


# Words that stand beside a boot must not run into it: corners and middles of the words, tried on each boot's shape.
_OVER_BOOTS = """[...document.querySelectorAll('svg text')].filter(t => ['nose', 'tail'].includes(t.textContent))
  .filter(t => { const b = t.getBBox(); const boots = [...t.ownerSVGElement.querySelectorAll('polygon[fill-opacity]')];
    const turn = boot => boot.getCTM().inverse().multiply(t.getCTM());
    return boots.some(boot => [b.x, b.x + b.width].some(x => [b.y, b.y + b.height / 2, b.y + b.height].some(y =>
      boot.isPointInFill(new DOMPoint(x, y).matrixTransform(turn(boot))))));
  }).map(t => 'over a boot: ' + t.textContent)"""
# What lies left of the page's text or right of it is cut off on paper.
_BEYOND_THE_PAGE = """(() => { const page = document.body.getBoundingClientRect();
  return [...document.querySelectorAll('body *')].filter(e => !e.closest('script, header'))
  .map(e => [e, e.getBoundingClientRect()]).filter(([e, b]) => b.width > 0)
  .filter(([e, b]) => b.left < page.left - 1 || b.right > page.right + 1)
  .map(([e]) => 'beyond the page: ' + e.tagName + ' ' + e.textContent.slice(0, 40)); })()"""
_LIST_DOTS = """[...document.querySelectorAll('ul')].filter(e => getComputedStyle(e).listStyleType !== 'none' ||
  parseFloat(getComputedStyle(e.firstElementChild, '::before').left) < 0).map(e => 'dots stand outside the list')"""
_LOW = """[...document.querySelectorAll('text')].filter(t => { const b = t.getBoundingClientRect();
  const all = document.documentElement.getBoundingClientRect(); const mm = all.width / 148;
  return b.left < all.left + 7 * mm || b.right > all.right - 6 * mm || b.bottom > all.bottom - 6 * mm; })
  .map(t => 'in the margin: ' + t.textContent)"""
_SMALLEST = """Math.min(...[...document.querySelectorAll('main p, main li, footer')]
  .map(e => parseFloat(getComputedStyle(e).fontSize)))"""
_LEAST_MM = 1.6  # 4.5 pt on A5, for the foot of the fullest page; a newspaper's small print has 5


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    made = Browser(tmp_path_factory.mktemp("browser"))
    yield made
    made.close()


def _written(folder: Path, text: str, kind: str = "html") -> Path:
    file = folder / f"slip.{kind}"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.mark.parametrize("paper", PAPERS_IN)
def test_a_slip_prints_on_one_page(browser: Browser, tmp_path: Path, paper: str) -> None:
    browser.open(_written(tmp_path, page(slip_of(heel_case()))))
    assert pages(browser.printed(paper)) == 1


def test_a_page_that_is_too_long_would_be_noticed(browser: Browser, tmp_path: Path) -> None:
    text = page(slip_of(heel_case())).replace("</main>", "<p style='height: 120mm'>more</p></main>")
    browser.open(_written(tmp_path, text))
    assert pages(browser.printed("A5")) == 2


def _troubles(
    browser: Browser, folder: Path, slips: Iterable[tuple[str, Slip]], on: Iterable[str] = ("A5", "Letter")
) -> list[str]:
    troubles = []
    for name, slip in slips:
        browser.open(_written(folder, page(slip)))
        papers = [paper for paper in on if pages(browser.printed(paper)) != 1]
        troubles += [f"{name}: more than one page on {paper}" for paper in papers]
        for words in (_CUT_OFF, _OUTSIDE, _OVERLAPPING, _OVER_BOOTS, _BEYOND_THE_PAGE, _LIST_DOTS):
            troubles += [f"{name}: {one}" for one in browser.run(words)]
        if browser.run(_SMALLEST) < _LEAST_MM * 1.5 * 96 / 25.4:  # on a screen a page is half as large again
            troubles.append(f"{name}: letters too small")
        browser.open(_written(folder, drawing(slip), "svg"))
        if pages(browser.printed("A5")) != 1:
            troubles.append(f"{name}, drawing: more than one page")
        outside = _OUTSIDE.replace("t.ownerSVGElement", "document.documentElement")
        for words in (outside, _OVERLAPPING, _OVER_BOOTS, _LOW):
            troubles += [f"{name}, drawing: {one}" for one in browser.run(words)]
    return troubles


def _slips_of_answers(step: int = 1) -> Iterator[tuple[str, Slip]]:
    for name, answer in answers_of_every_entry()[::step]:
        yield name, slip_of(record_of(answer, "Kim 7", said=("it is not right, " * 4,)))


def test_slips_of_every_kind_fit_one_page_with_nothing_cut_off_or_written_over(
    browser: Browser, tmp_path: Path
) -> None:
    kinds = varied_slips()
    assert {slip.record.outcome for _, slip in kinds} == {"advice", "refer", "needs"}
    assert _troubles(browser, tmp_path, kinds) == []


@pytest.mark.slow
def test_the_slip_of_every_entry_fits_one_page(browser: Browser, tmp_path: Path) -> None:
    assert len(answers_of_every_entry()) > 60
    assert _troubles(browser, tmp_path, (*_slips_of_answers(), *varied_slips()), PAPERS_IN) == []


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (("</main>", "<p style='width: 140mm; margin-left: -9mm'>wide</p></main>"), "beyond the page"),
        (("</main>", "<p style='width: 3mm; white-space: nowrap; overflow-wrap: normal'>cut off</p></main>"), "P: cut"),
        (("list-style: none; margin: 0; padding: 0;", ""), "dots stand outside"),
        ((">nose<", ' transform="translate(18 0)">nose<'), "over a boot"),
        ((">+16.7 mm<", ' transform="translate(32 -4.6)">+16.7 mm<'), "|"),
        ((">toe edge<", ' transform="translate(0 -40)">toe edge<'), "toe edge"),
    ],
)
def test_each_of_these_faults_would_be_noticed(
    browser: Browser, tmp_path: Path, spoil: tuple[str, str], words: str
) -> None:
    text = page(slip_of(heel_case()))
    assert spoil[0] in text
    browser.open(_written(tmp_path, text.replace(*spoil, 1)))
    told = [browser.run(one) for one in (_CUT_OFF, _OUTSIDE, _OVERLAPPING, _OVER_BOOTS, _BEYOND_THE_PAGE, _LIST_DOTS)]
    assert any(words in one for found in told for one in found)


def test_a_wider_font_still_fits_one_page(browser: Browser, tmp_path: Path) -> None:
    # Where none of the named fonts is installed, a browser takes another; this is the widest of the common ones.
    wide = 'html body, html body * { font-family: "DejaVu Sans", Verdana, sans-serif }</style>'
    troubles = []
    for name, slip in (*_slips_of_answers(16), *varied_slips()[1:14:2]):
        text = page(slip).replace("</style>", wide)
        browser.open(_written(tmp_path, text))
        if pages(browser.printed("A5")) != 1:
            troubles.append(name)
    assert troubles == []


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_runs_nothing_and_breaks_no_page(browser: Browser, tmp_path: Path, name: str) -> None:
    browser.open(_written(tmp_path, page(slip_of(hostile_case(name)))))
    assert browser.run("document.querySelectorAll('script').length") == 1
    assert browser.run("[...document.images].length") == 0
    assert browser.run(_CUT_OFF) == []
    assert pages(browser.printed("A5")) == 1


def test_text_in_page_and_pictures_can_be_selected(browser: Browser, tmp_path: Path) -> None:
    browser.open(_written(tmp_path, page(slip_of(heel_case()))))
    taken = browser.run("getSelection().selectAllChildren(document.body), getSelection().toString()")
    for words in ("Slide the back binding 7 mm toward the toe edge", "toe edge", "needed 55°", "Come back"):
        assert words in taken


@pytest.mark.parametrize("kind", ["html", "svg"])
def test_someone_who_sees_no_colours_sees_the_same(browser: Browser, tmp_path: Path, kind: str) -> None:
    for name, slip in varied_slips()[:14:2]:
        browser.open(_written(tmp_path, page(slip) if kind == "html" else drawing(slip), kind))
        assert browser.seen() == browser.seen(grey=True), name


def test_before_and_after_are_told_apart_without_colour(browser: Browser, tmp_path: Path) -> None:
    browser.open(_written(tmp_path, page(slip_of(heel_case()))))
    assert browser.run("document.querySelectorAll('polygon[stroke-dasharray]').length") == 2  # both boots as they were
    assert "dashed: before" in browser.run("document.body.textContent")


def test_words_stand_out_from_the_paper(browser: Browser, tmp_path: Path) -> None:
    # WCAG 2 asks for a contrast of 4.5; black on white has 21.
    browser.open(_written(tmp_path, page(slip_of(heel_case()))))
    colours = browser.run("[...new Set([...document.querySelectorAll('body *')].map(e => getComputedStyle(e).color))]")
    assert colours == ["rgb(0, 0, 0)"]


def test_nothing_is_loaded_from_anywhere(browser: Browser, tmp_path: Path) -> None:
    browser.open(_written(tmp_path, page(slip_of(heel_case()))))
    assert browser.run("performance.getEntriesByType('resource').length") == 0
