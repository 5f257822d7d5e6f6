"""The hire desk: Larchfall's invented riders from a spreadsheet to settings and labels."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest

from advisor.cli.main import run
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.intake.hire_list import read_list
from advisor.intake.hire_settings import as_mapping, settings_for, settings_for_all
from advisor.knowledge.trees import authors
from advisor.sheet.resolve import resolve
from advisor.solve.first_setup import first_setup
from advisor.solve.windows import load_windows

LIST = """Name,Height (cm),Weight,Shoe,Style,Foot forward
Lee 1,178,76 kg,EU 42,beginner,regular
Ash 2,5'4",130 lb,US W 7.5,park,goofy
Kit 3,132,31,33,learner,r
Jo 4,185,,9.5,,
"""


def ran(arguments: list[str], environ: dict[str, str] | None = None) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    code = run(
        arguments, Surroundings(io.StringIO(), out, err, {"ADVISOR_SHOP": "/nowhere/larchfall", **(environ or {})})
    )
    return code, out.getvalue(), err.getvalue()


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    file = tmp_path / "list.csv"
    file.write_text(LIST, encoding="utf-8")
    return file


def test_every_line_is_set_as_the_first_set_up_sets_it() -> None:
    """What riders with like boots share is worked out once; it must be what each alone would get."""
    for rider in read_list(LIST, "list.csv"):
        made, alone = settings_for(rider), first_setup(rider.sheet)
        after = alone.sheet_after
        assert (made.front_deg, made.back_deg) == (
            after.value("mount.front.angle_deg"),
            after.value("mount.back.angle_deg"),
        )
        assert made.waist_mm == pytest.approx((alone.min_waist_mm, alone.max_waist_mm))
        assert made.board_cm == pytest.approx(alone.lengths_cm, nan_ok=True)
        window = load_windows(authors()).good("stance_width_mm", resolve(rider.sheet))
        assert window and window.low - 6 <= made.width_mm <= window.high + 6


def test_settings_are_what_the_trade_starts_with() -> None:
    """Learner 12..15/-6..-9, park 12..15/-12..-15 (common practice, no source); width .29 to .33 of height."""
    lee, ash, kit, _ = (settings_for(rider) for rider in read_list(LIST, "list.csv"))
    assert 12 <= lee.front_deg <= 15 and -9 <= lee.back_deg <= -6 and lee.lean_front_deg <= 5
    assert 12 <= ash.front_deg <= 15 and -15 <= ash.back_deg <= -12
    for one, height in ((lee, 1780), (kit, 1320)):
        assert 0.28 * height <= one.width_mm - one.width_spread_mm / 2 and one.width_mm <= 0.34 * height
    assert 290 <= lee.sole_mm <= 312 and lee.sole_spread_mm >= 5
    assert kit.board_cm[0] < 125 < lee.board_cm[0]


def test_units_systems_and_words_are_read() -> None:
    lee, ash, kit, jo = read_list(LIST, "list.csv")
    assert ash.sheet.value("rider.height_cm") == pytest.approx(162.56)
    assert ash.sheet.value("rider.weight_kg") == pytest.approx(58.97, abs=0.01)
    assert ash.sheet.value("rider.leading_foot") == "right" and ash.sheet.value("rider.style") == "freestyle"
    assert kit.sheet.value("boots.size") == "EU 33", "a child of 132 cm has no foot of 33 cm"
    assert lee.guessed == ()
    assert any("without its system" in words for words in jo.guessed)
    assert any("foot forward" in words for words in jo.guessed) and any("style" in words for words in jo.guessed)


def test_what_does_not_go_together_is_doubted() -> None:
    (rider,) = read_list("height,weight,shoe\n152,165,EU 42\n", "list.csv")
    assert any("weight" in doubt for doubt in settings_for(rider).doubts)


def test_every_fault_is_told_with_its_line() -> None:
    with pytest.raises(AdvisorError) as caught:
        read_list("height,shoe,style\n17,EU 42,park\n178,,park\n178,EU 42,skating\n", "list.csv")
    told = str(caught.value)
    assert "list.csv:2" in told and "expected 90 to 230 cm" in told
    assert "list.csv:3: expected a shoe size" in told
    assert "list.csv:4" in told and "skating" in told
    with pytest.raises(AdvisorError, match="expected columns with height and shoe size"):
        read_list("name,age\nLee,4\n", "list.csv")


def test_the_table_and_the_labels_say_the_same(listed: Path, tmp_path: Path) -> None:
    page = tmp_path / "labels.html"
    code, out, err = ran(["hire", str(listed), "--to", str(page)])
    assert (code, err) == (0, "")
    html = page.read_text(encoding="utf-8")
    for name in ("Lee 1", "Ash 2", "Kit 3", "Jo 4"):
        angles = re.search(rf"{name} *(front [^;]+);", out)
        assert angles and f"<h2>{name}</h2>" in html and angles[1] in html.partition(f"<h2>{name}</h2>")[2]
    assert "http" not in html and "<script" not in html
    assert "regular or goofy?" in html
    assert ran(["hire", str(listed), "--to", str(page)])[0] == 2, "a page that is there is not replaced unasked"


def test_json_stands_alone_on_stdout(listed: Path) -> None:
    code, out, err = ran(["hire", str(listed), "--json"])
    made = json.loads(out)
    assert (code, err, len(made["riders"])) == (0, "", 4)
    assert made["riders"][3]["board_length_cm"] == [None, None]


def test_a_name_is_text_and_never_markup(tmp_path: Path) -> None:
    file, page = tmp_path / "list.csv", tmp_path / "labels.html"
    file.write_text("name,height,shoe\n<script>x</script>,178,EU 42\n", encoding="utf-8")
    assert ran(["hire", str(file), "--to", str(page)])[0] == 0
    assert "<script" not in page.read_text(encoding="utf-8")


def test_a_board_of_the_fleet_and_its_rows_are_offered(listed: Path, tmp_path: Path) -> None:
    environ = {"ADVISOR_SHOP": str(tmp_path / "shop")}
    boards = tmp_path / "boards.csv"
    boards.write_text("label,length,waist,reference,inserts,rows\nL 155,155,256,500,2x4,3\nL 120,120,195,420,2x4,3\n")
    assert ran(["shelf", "import", str(boards), "--fleet"], environ)[0] == 0
    made = json.loads(ran(["hire", str(listed), "--json"], environ)[1])["riders"]
    lee, kit = made[0], made[2]
    assert lee["board"] == "L 155" and lee["rows"] == round((lee["stance_width_mm"]["value"] - 500) / 40)
    assert kit["board"] == "L 120"


def test_two_processes_say_what_one_says() -> None:
    text = "height,shoe,style\n" + "".join(f"{150 + n % 45},EU {36 + n % 10},park\n" for n in range(220))
    riders = read_list(text, "list.csv")
    one, two = (settings_for_all(riders, processes=number) for number in (1, 2))
    assert list(map(as_mapping, one)) == list(map(as_mapping, two))
