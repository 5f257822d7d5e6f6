"""The commands on cases and slips, and a customer's conversation from one visit to the next, as a shop types them."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.cases.log import CaseLog
from advisor.cases.store import Store
from advisor.cli.exits import Exit
from advisor.cli.main import run
from advisor.cli.surroundings import Surroundings
from tests.cases.conftest import Server
from tests.cases.making import HOSTILE, case
from tests.conftest import ROOT

_SHEET = str(ROOT / "transcripts_demo" / "larchfall_heel.yaml")


class Shop:
    """A shop with its own data folder; runs commands as a person types them."""

    def __init__(self, folder: Path, store: str = "") -> None:
        self.folder = folder
        self.environ = {"ADVISOR_DATA": str(folder), "ADVISOR_STORE": store, "ADVISOR_DEBUG": "1", "COLUMNS": "100"}
        self.out = self.notes = ""

    def run(self, *arguments: str, typed: str = "") -> int:
        out, notes = io.StringIO(), io.StringIO()
        code = run(arguments, Surroundings(io.StringIO(typed), out, notes, self.environ))
        self.out, self.notes = out.getvalue(), notes.getvalue()
        return code

    def json(self, *arguments: str) -> dict[str, object]:
        assert self.run(*arguments, "--json") == Exit.DONE, self.notes
        told: dict[str, object] = json.loads(self.out)
        return told

    @property
    def store(self) -> Store:
        return Store(f"sqlite:///{self.folder / 'cases.sqlite'}")


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path / "data")


_TOLD = "my heel edge lets go on hard snow\nboth sit firm\n"


def _first_visit(shop: Shop) -> None:
    code = shop.run("--sheet", _SHEET, "--customer", "Kim 7", typed=_TOLD)
    assert code == Exit.DONE and "7 mm toward the toe edge" in shop.out


def test_a_customer_comes_back_and_the_next_cause_is_taken(shop: Shop) -> None:
    _first_visit(shop)
    assert "advisor slip" in shop.notes
    assert shop.run("--customer", "kim 7", typed="as advised\nthe same\n") == Exit.DONE
    assert "Last time" in shop.out and "The last change stays" in " ".join(shop.out.split())
    with shop.store as store:
        first, second = store.of("Kim 7")
        assert first.done and first.result and (first.done.what, first.result.how) == ("as_advised", "same")
        assert second.follows == first.id and second.alias == "Kim 7"
        assert second.complaint == "my heel edge lets go on hard snow"
        assert "heel_contact" in second.ruled_out and second.cause != first.cause
    assert shop.json("cases", "odds")["odds"] == {"heel_washout": {"heel_contact": [0, 1]}}


def test_the_shops_outcomes_move_the_order_and_can_be_left_out(shop: Shop) -> None:
    from advisor.cases.record import Done, Result

    with shop.store as store:
        done, worse = Done("as_advised"), Result("worse")
        store.save_all(case(f"R{n}", n, done=done, result=worse) for n in range(60))
    shop.run("cases", "odds")
    typed = _TOLD
    shop.run("--sheet", _SHEET, "--without-log", typed=typed)
    plain = shop.out
    shop.run("--sheet", _SHEET, typed=typed)
    assert shop.out != plain
    shop.environ["ADVISOR_ODDS"] = "off"
    shop.run("--sheet", _SHEET, typed=typed)
    assert shop.out == plain


def test_what_helped_is_told_with_its_numbers(shop: Shop) -> None:
    from advisor.cases.record import Done, Result

    with shop.store as store:
        done, how = Done("as_advised"), (Result("better"), Result("same"))
        store.save_all(case(f"R{n}", n, done=done, result=how[n >= 9]) for n in range(12))
    shop.run("cases", "odds")
    assert "heel_washout, heel_contact: 9 of 12 came back better" in shop.out
    shop.run("--sheet", _SHEET, "--customer", "Kim 7", typed=_TOLD + "more\n")
    assert "In this shop 9 of 12 riders" in " ".join(shop.out.split())


def test_an_answer_that_hung_on_the_shops_outcomes_is_found_again_from_its_slip(shop: Shop, tmp_path: Path) -> None:
    from advisor.cases.record import Done, Result

    with shop.store as store:
        done, worse = Done("as_advised"), Result("worse")
        store.save_all(case(f"R{n}", n, done=done, result=worse) for n in range(60))
    shop.run("cases", "odds")
    shop.run("--sheet", _SHEET, "--customer", "Kim 7", typed=_TOLD)
    file = str(tmp_path / "slip.html")
    assert shop.run("slip", "Kim 7", "--to", file) == Exit.DONE
    # Even where the log has gone: the counts travel with the slip.
    assert Shop(tmp_path / "elsewhere").run("replay", file) == Exit.DONE


@pytest.mark.parametrize("kind", ["html", "svg"])
def test_a_slip_is_written_and_replayed(shop: Shop, tmp_path: Path, kind: str) -> None:
    _first_visit(shop)
    file = tmp_path / f"slip.{kind}"
    assert shop.run("slip", "Kim 7", "--to", str(file)) == Exit.DONE and shop.out == ""
    assert shop.run("replay", str(file)) == Exit.DONE
    assert "the same answer" in shop.out and shop.notes == ""
    file.write_text(file.read_text().replace('"to":3.0', '"to":2.0'), encoding="utf-8")
    assert shop.run("replay", str(file)) == Exit.NO
    assert "mount.back.slot_mm: the slip says 2.0, now 3.0" in shop.out


def test_a_slip_on_the_terminal_has_pictures_checklist_and_number(shop: Shop) -> None:
    _first_visit(shop)
    assert shop.run("--plain", "slip", "Kim 7") == Exit.DONE
    with shop.store as store:
        made = store.last("Kim 7")
        assert made
    for words in (made.id, "From above", "In section", "[ ] Slide the back binding 7 mm", "3.5 to 5", "COME BACK"):
        assert words in shop.out


def test_a_slip_for_programs_tells_what_stands_on_it_and_only_what_was_written(shop: Shop, tmp_path: Path) -> None:
    _first_visit(shop)
    assert shop.run("slip", "Kim 7", "--json") == Exit.DONE
    told = json.loads(shop.out)
    assert told["file"] is None and told["alias"] == "Kim 7"
    assert any(words.startswith("Slide the back binding 7 mm") for words in told["checks"])
    file = tmp_path / "slip.svg"
    assert shop.run("slip", "Kim 7", "--json", "--to", str(file)) == Exit.DONE
    assert json.loads(shop.out)["file"] == str(file) and file.exists()
    assert shop.run("slip", "Kim 7", "--json", "--to", str(tmp_path / "no" / "x.svg")) == Exit.BAD_INPUT
    assert "can't be written" in json.loads(shop.out)["faults"][0]


def test_a_slip_for_nobody_and_into_a_strange_file_are_refused(shop: Shop, tmp_path: Path) -> None:
    assert shop.run("slip", "Nobody", "--to", "x.html") == Exit.BAD_INPUT and "advisor cases list" in shop.notes
    assert shop.run("slip", "Nobody", "--to", "x.pdf") == Exit.BAD_INPUT and ".html or .svg" in shop.notes
    _first_visit(shop)
    assert shop.run("slip", "Kim 7", "--to", str(tmp_path / "no" / "x.html")) == Exit.BAD_INPUT
    assert "can't be written" in shop.notes


def test_save_as_under_the_alias_that_it_has_makes_no_second_case(shop: Shop) -> None:
    told = _TOLD + "save as  kim 7\nsave as Lee\n"
    shop.run("--sheet", _SHEET, "--customer", "Kim 7", typed=told)
    with shop.store as store:
        assert [len(store.of(alias)) for alias in ("Kim 7", "Lee")] == [1, 1]


def test_save_as_keeps_a_conversation_that_began_without_a_customer(shop: Shop) -> None:
    shop.run("--sheet", _SHEET, typed=_TOLD + "save as Lee\n")
    assert "kept as 'Lee'" in shop.out
    with shop.store as store:
        assert store.last("lee")
    shop.run(typed="save as\n")
    assert "Say under which alias" in shop.out


def test_without_a_customer_nothing_is_kept_and_the_log_is_not_even_made(shop: Shop) -> None:
    shop.run("--sheet", _SHEET, typed=_TOLD)
    assert not shop.folder.exists()


def test_of_two_complaints_in_one_line_both_cases_have_the_riders_words(shop: Shop) -> None:
    line = "my heel edge lets go and my back knee is sore"
    answers = "none of these\nhard\n" + "no\n" * 8
    shop.run("--sheet", _SHEET, "--customer", "Kim 7", typed=f"{line}\n{answers}next\nboth sit firm\n")
    with shop.store as store:
        made = store.of("Kim 7")
    assert {one.entry for one in made} == {"heel_washout", "sore_back_knee"}
    assert {one.complaint for one in made} == {line}


def test_a_slip_after_a_change_that_made_it_worse_says_to_put_it_back(shop: Shop) -> None:
    _first_visit(shop)
    shop.run("--customer", "Kim 7", typed="as advised\nworse\n")
    assert shop.run("--plain", "slip", "Kim 7") == Exit.DONE
    assert "[ ] First put back what was changed last time" in shop.out
    with shop.store as store:
        first, second = store.of("Kim 7")
        assert second.follows == first.id


def test_an_open_case_is_kept_as_far_as_it_came(shop: Shop) -> None:
    shop.run("--sheet", _SHEET, "--customer", "Kim 7", typed="my back knee hurts\n")
    with shop.store as store:
        made = store.last("Kim 7")
    assert made and (made.entry, made.outcome) == ("sore_back_knee", "needs")


def test_a_damaged_log_does_not_stop_the_conversation(shop: Shop) -> None:
    shop.folder.mkdir()
    (shop.folder / "cases.sqlite").write_bytes(b"damaged" * 2000)
    _first_visit(shop)
    assert "is damaged" in shop.notes and "kept on this machine and goes into the log later" in shop.notes
    assert shop.run("cases", "list") == Exit.BAD_INPUT
    assert shop.run("cases", "where") == Exit.NO and "waiting to be sent: 1" in shop.out
    saved = shop.folder / "saved.sqlite"
    assert shop.run("cases", "backup", "--to", str(saved)) == Exit.NO
    assert saved.read_bytes() == (shop.folder / "cases.sqlite").read_bytes()
    (shop.folder / "cases.sqlite").unlink()
    assert shop.run("cases", "list") == Exit.DONE and "Kim 7" in shop.out


def test_a_server_that_is_gone_does_not_stop_the_conversation(tmp_path: Path, postgres: Server) -> None:
    shop = Shop(tmp_path / "data", postgres.database())
    _first_visit(shop)
    postgres.stop()
    try:
        _first_visit(shop)
        assert "goes on without the last visit" in shop.notes and "kept on this machine" in shop.notes
    finally:
        postgres.start()
    assert len(shop.json("cases", "list")["cases"]) == 2  # type: ignore[arg-type]


class _Typed(io.StringIO):
    """Lines of a person, with something that happens before one of them."""

    def __init__(self, lines: list[str], happening: Callable[[], None], at: int) -> None:
        super().__init__("".join(f"{line}\n" for line in lines))
        self.happening, self.at, self.read_lines = happening, at, 0

    def _count(self) -> None:
        if self.read_lines == self.at:
            self.happening()
        self.read_lines += 1

    def readline(self, *sizes: int) -> str:  # type: ignore[override]
        self._count()
        return super().readline(*sizes)

    def __next__(self) -> str:
        self._count()
        return super().__next__()


def test_a_server_that_goes_in_mid_conversation_does_not_stop_it(tmp_path: Path, postgres: Server) -> None:
    shop = Shop(tmp_path / "data", postgres.database())
    _first_visit(shop)
    out, notes = io.StringIO(), io.StringIO()
    typed = _Typed(["as advised", "the same", "why"], postgres.stop, at=1)
    try:
        code = run(["--customer", "Kim 7"], Surroundings(typed, out, notes, shop.environ))
        assert code == Exit.DONE and "The last change stays" in " ".join(out.getvalue().split())
        assert "can't be used now" in notes.getvalue() and "goes into the log later" in notes.getvalue()
        assert len(CaseLog(shop.environ).outbox.waiting()) >= 2
    finally:
        postgres.start()
    sent = shop.json("cases", "list")["cases"]
    assert isinstance(sent, list) and len(sent) == 2
    first = next(one for one in sent if "follows" not in one)
    assert (first["done"]["what"], first["result"]["how"]) == ("as_advised", "same")
    assert CaseLog(shop.environ).outbox.waiting() == []


def test_export_delete_and_import(shop: Shop, tmp_path: Path) -> None:
    _first_visit(shop)
    file = tmp_path / "cases.jsonl"
    assert shop.run("cases", "export", "--to", str(file)) == Exit.DONE
    assert shop.run("cases", "export") == Exit.DONE and shop.out == file.read_text()
    assert shop.run("cases", "delete", "Kim 7") == Exit.BAD_INPUT and "--yes" in shop.notes
    assert shop.run("cases", "delete", "Kim 7", "--yes") == Exit.DONE and "1 case of" in shop.out
    assert shop.json("cases", "list")["cases"] == []
    assert shop.run("cases", "delete", "Kim 7", "--yes") == Exit.BAD_INPUT
    # A copy does not bring a deleted customer back by itself, only on a person's word.
    assert shop.run("cases", "import", str(file)) == Exit.DONE and "1 case of deleted customers left out" in shop.out
    assert shop.json("cases", "list")["cases"] == []
    assert shop.run("cases", "import", str(file), "--deleted-too") == Exit.DONE and "1 case imported" in shop.out
    assert shop.run("cases", "export") == Exit.DONE and shop.out == file.read_text()


@pytest.mark.parametrize(
    ("line", "words"),
    [("{", "line 2: is no JSON"), ('{"schema": 1}', "line 2: id"), ("[" * 100_000, "line 2: is no JSON")],
)
def test_a_bad_line_is_named_and_nothing_of_the_file_is_imported(
    shop: Shop, tmp_path: Path, line: str, words: str
) -> None:
    file = tmp_path / "cases.jsonl"
    file.write_text(json.dumps(case().to_dict()) + "\n" + line + "\n", encoding="utf-8")
    assert shop.run("cases", "import", str(file)) == Exit.BAD_INPUT
    assert words in shop.notes and "nothing was imported" in shop.notes
    assert shop.json("cases", "list")["cases"] == []


def test_a_backup_can_be_opened_as_a_log(shop: Shop, tmp_path: Path) -> None:
    _first_visit(shop)
    file = tmp_path / "backup.sqlite"
    assert shop.run("cases", "backup", "--to", str(file)) == Exit.DONE
    with Store(f"sqlite:///{file}") as copy, shop.store as store:
        assert list(copy.lines()) == list(store.lines())
    assert shop.run("cases", "backup", "--to", str(file)) == Exit.BAD_INPUT and "is there already" in shop.notes


def test_copies_of_the_log_are_for_their_owner_alone_as_the_log_is(shop: Shop, tmp_path: Path) -> None:
    _first_visit(shop)
    for arguments in (["export", "--to"], ["backup", "--to"]):
        file = tmp_path / f"{arguments[0]}.copy"
        assert shop.run("cases", *arguments, str(file)) == Exit.DONE
        assert file.stat().st_mode & 0o077 == 0
    with (shop.folder / "cases.sqlite").open("r+b") as log:
        log.write(b"damaged")
    assert shop.run("cases", "backup", "--to", str(tmp_path / "saved.sqlite")) == Exit.NO
    assert all(one.stat().st_mode & 0o077 == 0 for one in tmp_path.glob("saved*"))


def test_what_was_done_and_how_it_went_can_be_written_down_without_a_conversation(shop: Shop) -> None:
    _first_visit(shop)
    assert shop.run("cases", "outcome", "Kim 7", "--how", "better") == Exit.DONE and "not counted" in shop.out
    assert shop.run("cases", "done", "Kim 7", "--what", "as_advised", "--words", "took 4 minutes") == Exit.DONE
    assert shop.run("cases", "show", "Kim 7") == Exit.DONE
    for words in ("took 4 minutes", "How it went: better", "heel_margin_deg", "Knowledge"):
        assert words in shop.out


def test_cases_are_found_by_complaint_board_and_day(shop: Shop) -> None:
    with shop.store as store:
        store.save_all([case("Kim 7", 1), case("Lee", 700, entry="toe_drag", complaint="toes", board="own")])

    def aliases(*arguments: str) -> list[str]:
        return [one["alias"] for one in shop.json("cases", "find", *arguments)["cases"]]  # type: ignore[attr-defined]

    assert aliases() == ["Lee", "Kim 7"]
    assert aliases("--complaint", "heel edge") == aliases("--board", "158") == aliases("--alias", "kim") == ["Kim 7"]
    assert aliases("--since", "2026-01-11") == aliases("--complaint", "toe_drag") == ["Lee"]
    assert aliases("--until", "2026-01-10") == ["Kim 7"]
    assert shop.run("cases", "find", "--since", "soon") == Exit.BAD_INPUT and "2026-01-31" in shop.notes


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_harmless_in_every_listing(shop: Shop, name: str) -> None:
    text = HOSTILE[name]
    with shop.store as store:
        store.save(case(text, complaint=text, board=text, note=text, said=(text,), entry=text, cause=text))
    for arguments in (["list"], ["list", "--json"], ["show", text], ["export"], ["where"], ["odds"]):
        assert shop.run("cases", *arguments) == Exit.DONE
        assert all(sign.isprintable() or sign == "\n" for sign in shop.out + shop.notes)


def test_hostile_words_in_a_conversation_are_kept_as_said(shop: Shop) -> None:
    text = "my heel edge lets go <script>alert(1)</script> '; DROP TABLE cases;--"
    shop.run("--sheet", _SHEET, "--customer", HOSTILE["html"], "--board", HOSTILE["formula"], typed=text + "\n")
    with shop.store as store:
        made = store.last(HOSTILE["html"])
    assert made and made.complaint == text and made.board == HOSTILE["formula"]


def test_the_log_is_opened_by_no_other_command(shop: Shop) -> None:
    import subprocess
    import sys

    code = (
        "import sys; from advisor.cli.main import run; from advisor.cli.surroundings import Surroundings\n"
        f"run(['advise', {_SHEET!r}, '--entry', 'heel_washout'], Surroundings())\n"
        "print(sorted({'sqlalchemy', 'alembic', 'psycopg', 'sqlite3'} & set(sys.modules)))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=60)
    assert told.stdout.splitlines()[-1] == "[]"


def test_done_that_is_taken_back_is_taken_back_in_the_log(shop: Shop) -> None:
    shop.run("--sheet", _SHEET, "--customer", "Kim 7", typed=_TOLD + "done\n")
    shop.run("--sheet", _SHEET, "--customer", "Lee 1", typed=_TOLD + "done\nback up\n")
    with shop.store as store:
        kim, lee = store.last("Kim 7"), store.last("Lee 1")
    assert kim and kim.done and kim.done.what == "as_advised"
    assert lee and lee.done is None and lee.outcome == "advice"


@pytest.mark.parametrize("taken_back", ["back up\n", "not that\n"])
def test_a_case_that_was_misheard_or_taken_back_is_not_in_the_log(shop: Shop, taken_back: str) -> None:
    shop.run("--sheet", _SHEET, "--customer", "Kim 7", typed=_TOLD + taken_back)
    with shop.store as store:
        held = store.of("Kim 7")
    # Taking the last answer back leaves a case whose question is open, with nothing advised.
    assert [one.outcome for one in held] in ([], ["needs"])


def test_what_waits_can_be_looked_at_and_tried_again(shop: Shop, tmp_path: Path) -> None:
    assert shop.run("cases", "waiting") == Exit.DONE and "nothing waits" in shop.out
    outbox = CaseLog(shop.environ).outbox
    outbox.put("A1", 1, {"alias": "Kim 7", "at": "no moment"})
    outbox.close()
    shop.run("cases", "list")
    told = shop.json("cases", "waiting")["waiting"]
    assert isinstance(told, list) and told[0]["case"] == "A1" and "expected a moment" in told[0]["refused"]
    assert shop.run("cases", "waiting", "--give-up", "Kim 7") == Exit.DONE and "1 given up" in shop.out
    assert shop.json("cases", "waiting")["waiting"] == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"trail": [5]}, "trail: expected an object"),
        ({"trail": [{"steps": [{"node": "a", "fact": "snow"}]}]}, "trail, 1.steps, 1: expected a cause"),
        ({"trail": [{"steps": [{"node": "a", "measure": "x", "values": [1]}]}]}, "values: expected an object"),
        ({"advice": {"changes": 5}}, "advice.changes: expected a list"),
        ({"advice": {"changes": "abc"}}, "advice.changes: expected a list"),
        ({"advice": {"changes": [{"words": 1}]}}, "words: expected text"),
        ({"advice": {"title": ["x"]}}, "advice.title: expected text"),
        ({"advice": {"minutes": "long"}}, "advice.minutes: expected a number"),
        ({"advice": {"refer": [1]}}, "advice.refer: expected an object"),
        ({"answers": {"snow": [1]}}, "answers: expected facts"),
    ],
)
def test_a_case_that_nobody_could_show_is_refused_by_line(
    shop: Shop, tmp_path: Path, change: dict[str, object], words: str
) -> None:
    file = tmp_path / "cases.jsonl"
    good = json.dumps(case().to_dict())
    file.write_text(good + "\n" + json.dumps(case().to_dict() | change) + "\n", encoding="utf-8")
    assert shop.run("cases", "import", str(file)) == Exit.BAD_INPUT
    assert "line 2" in shop.notes and words in shop.notes and shop.json("cases", "list")["cases"] == []


def test_every_case_that_the_advisor_writes_can_be_imported_again(shop: Shop, tmp_path: Path) -> None:
    _first_visit(shop)
    shop.run("--sheet", _SHEET, "--customer", "Lee 1", typed="set everything up from scratch\n")
    shop.run("--sheet", _SHEET, "--customer", "Ann 1", typed="my knee is swollen and locks\n")
    file = tmp_path / "cases.jsonl"
    assert shop.run("cases", "export", "--to", str(file)) == Exit.DONE
    other = Shop(tmp_path / "other")
    assert other.run("cases", "import", str(file)) == Exit.DONE
    assert other.run("cases", "export") == Exit.DONE and other.out == file.read_text()


def test_an_alias_that_is_nearly_known_is_asked_about(shop: Shop) -> None:
    shop.run("--sheet", _SHEET, "--customer", "Kim 8", typed=_TOLD)
    shop.run("--sheet", _SHEET, "--customer", "Kim8", typed=_TOLD)
    assert "did you mean 'Kim 8'" in shop.notes
    shop.run("--sheet", _SHEET, "--customer", "Somebody else", typed=_TOLD)
    assert "did you mean" not in shop.notes
