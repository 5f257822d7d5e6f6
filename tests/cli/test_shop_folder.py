"""Where the shop's own folder lies: the option before the variable, the variable before the place beside the log."""

from __future__ import annotations

import io
from pathlib import Path

from advisor.cli.main import run
from advisor.cli.surroundings import Surroundings
from advisor.shop_folder import shelf_folder, shop_folder


def test_it_lies_beside_the_case_log_unless_told() -> None:
    assert Path(shop_folder({"ADVISOR_DATA": "/larchfall/data"})) == Path("/larchfall/data/shop")
    assert shop_folder({"ADVISOR_DATA": "/larchfall/data", "ADVISOR_SHOP": "/larchfall/own"}) == "/larchfall/own"
    assert shelf_folder({"ADVISOR_SHOP": "/larchfall/own"}) == Path("/larchfall/own/shelf")


def test_the_option_goes_before_the_variable() -> None:
    around = Surroundings(io.StringIO(), io.StringIO(), io.StringIO(), {"ADVISOR_SHOP": "/larchfall/old"})
    run(["--shop", "/larchfall/new", "match", "my heel edge lets go"], around)
    assert shop_folder(around.environ) == "/larchfall/new"
