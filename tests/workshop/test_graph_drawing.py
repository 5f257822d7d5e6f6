"""Drawings of an entry: every node once, no wider than the terminal, well-formed as SVG."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from advisor.graph.knowledge import load_knowledge
from advisor.workshop.graph_drawing.layout import layers
from advisor.workshop.graph_drawing.svg import as_svg
from advisor.workshop.graph_drawing.tree import as_tree

SVG = "{http://www.w3.org/2000/svg}"
ENTRIES = load_knowledge().entry_ids


@pytest.mark.parametrize("name", ENTRIES)
def test_the_tree_names_every_node_and_fits_80_columns(name: str) -> None:
    knowledge = load_knowledge()
    entry = knowledge.entry(name)
    lines = as_tree(knowledge, entry, 80)
    text = " ".join(" ".join(line.strip("│├└─ ") for line in lines).split())
    assert max(map(len, lines)) <= 80
    # What is asked before every suspect stands there once, by the name that the file has for it.
    names = [node.partition("@")[0] for node in entry.nodes]
    assert [name for name in names if text.count(f"'{name}':") != 1] == []


@pytest.mark.parametrize("name", ENTRIES)
def test_the_picture_is_well_formed_and_has_a_box_for_every_node(name: str) -> None:
    knowledge = load_knowledge()
    entry = knowledge.entry(name)
    root = ElementTree.fromstring(as_svg(knowledge, entry))
    assert [group.findtext(f"{SVG}title") for group in root.iter(f"{SVG}g")] == list(entry.nodes)


@pytest.mark.parametrize("name", ENTRIES)
def test_no_two_boxes_overlap_and_all_lie_on_the_page(name: str) -> None:
    knowledge = load_knowledge()
    root = ElementTree.fromstring(as_svg(knowledge, knowledge.entry(name)))
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    boxes = [tuple(float(box.attrib[key]) for key in ("x", "y", "width", "height")) for box in root.iter(f"{SVG}rect")]
    for place, (x, y, w, h) in enumerate(boxes):
        assert x >= 0 and x + w <= width and y >= 0 and y + h <= height
        for x2, y2, w2, h2 in boxes[:place]:
            assert x + w <= x2 or x2 + w2 <= x or y + h <= y2 or y2 + h2 <= y


def test_every_edge_of_the_layout_runs_to_a_later_layer() -> None:
    laid = layers(load_knowledge().entry("heel_washout"))
    level = {name: number for number, row in enumerate(laid.rows) for name in row}
    assert all(level[start] < level[end] for start, end in laid.edges)


def test_plain_trees_use_ascii_lines_only() -> None:
    knowledge = load_knowledge()
    lines = as_tree(knowledge, knowledge.entry("sore_back_knee"), ascii_only=True)
    assert not set("│├└─") & set("".join(lines))
