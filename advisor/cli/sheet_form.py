"""The sheet as a form on one screen: tab through, each cell checked while it is typed, the board drawn as it stands."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from prompt_toolkit.application import Application
from prompt_toolkit.buffer import Buffer
from prompt_toolkit.filters import Condition
from prompt_toolkit.formatted_text import StyleAndTextTuples
from prompt_toolkit.input import Input
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.layout import FormattedTextControl, HSplit, Layout, ScrollablePane, VSplit, Window
from prompt_toolkit.layout.controls import BufferControl
from prompt_toolkit.output import ColorDepth, Output
from prompt_toolkit.styles import Style

from advisor.dialogue.case import Case
from advisor.dialogue.clashing import clashes
from advisor.dialogue.replies import Pictured
from advisor.dialogue.sheet_talk import form_fields, intake_said
from advisor.errors import SheetError
from advisor.explain.wording import field_name
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.sheet import LeafValue, Sheet

if TYPE_CHECKING:
    from advisor.cli.surroundings import Surroundings
    from advisor.graph.knowledge import Knowledge

_NAME_WIDTH, _CELL_WIDTH = 20, 12
_LEAST_PICTURE = 36
_STYLE = Style.from_dict({"cell": "underline", "wrong": "bold", "head": "bold", "cell.here": "reverse"})
_SHORT = {"left": "regular", "right": "goofy"}


class Form:
    """A sheet being filled in: cells by field, what is wrong with each, and the sheet that they make.

    Parameters
    ----------
    sheet
        As it is; what is not in the form stays as it was.
    knowledge
        For the form's fields, its sentences, the picture and the doubts.
    width
        Columns of the screen.

    """

    def __init__(self, sheet: Sheet, knowledge: Knowledge, width: int = 80, ascii_only: bool = False) -> None:
        self.start = sheet
        self.knowledge = knowledge
        self.ascii_only = ascii_only
        self.width = width
        self.fields = form_fields(knowledge.trees)
        self.picture_width = max(_LEAST_PICTURE, width - _NAME_WIDTH - _CELL_WIDTH - 8)
        self.cells = {path: Buffer(multiline=False, on_text_changed=self._changed) for path in self.fields}
        self.faults: dict[str, str] = {}
        self.sheet = sheet
        self._drawn: tuple[Sheet, str] | None = None
        for path, cell in self.cells.items():
            leaf = sheet.leaves.get(path)
            if leaf is not None:
                cell.text = _typed(leaf.value)

    def _changed(self, _: Buffer) -> None:
        """Read every cell anew; an empty one is unknown, one that is wrong leaves the field as it was before."""
        if not hasattr(self, "sheet"):
            return
        sheet, faults = self.start, {}
        for path, cell in self.cells.items():
            text = cell.text.strip()
            if not text:
                sheet = sheet.without(path)
                continue
            try:
                value = parse_value(path, _meant(path, text))
            except SheetError as error:
                faults[path] = error.faults[0].partition(": ")[2]
                continue
            if self.start.value(path) != value or path not in sheet.leaves:
                clash = clashes(sheet, sheet.with_value(path, value))
                if clash:
                    faults[path] = clash[0].partition(": ")[2]
                    continue
                sheet = sheet.with_value(path, value)
        self.sheet, self.faults = sheet, faults

    def says(self, path: str) -> str:
        """Return the line below: what is wrong with a cell, else what the field is, else what is hard to believe."""
        if path in self.faults:
            return self.faults[path]
        from advisor.doubt.doubts import doubts_of

        doubt = next((one for one in doubts_of(self.sheet, (), self.knowledge.trees) if path in one.fields), None)
        row = field_rows()[path]
        choices = f": {', '.join(row.choices)}" if row.choices else f" ({row.unit})" if row.unit else ""
        return doubt.says if doubt else f"{row.words}{choices}"

    def below(self, path: str) -> str:
        """Return what is said of a cell, broken at words for the screen."""
        from textwrap import fill

        return fill(self.says(path), self.width)

    def picture(self) -> str:
        """Return the board from above as it stands, drawn anew only when the sheet has changed."""
        if self._drawn is None or self._drawn[0] != self.sheet:
            self._drawn = self.sheet, self._draw()
        return self._drawn[1]

    def _draw(self) -> str:
        from advisor.cli.plain import plain_lines
        from advisor.explain.returning import tell
        from advisor.explain.telling import Telling

        how = Telling(self.knowledge, "metric", self.picture_width, self.ascii_only)
        case = Case("", self.sheet, trees=self.knowledge.trees)
        return "\n".join(plain_lines(tell(Pictured(case), how), self.picture_width))


def _typed(value: LeafValue) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value).replace("_", " ")


def _meant(path: str, text: str) -> str:
    """Return what a cell means: a foot may be told as regular or goofy."""
    if path == "rider.leading_foot":
        return next((foot for foot, word in _SHORT.items() if word.startswith(text.lower()[:3])), text)
    return text.replace(",", ".") if text.replace(",", "").lstrip("+-").isdigit() else text


def fill_in(
    sheet: Sheet,
    knowledge: Knowledge,
    around: Surroundings,
    source: Input | None = None,
    screen: Output | None = None,
) -> Sheet | None:
    """Show the form until it is kept or left.

    Parameters
    ----------
    sheet, knowledge
        What to begin with.
    around
        Streams and settings.
    source, screen
        Other ends than the terminal, for tests.

    Returns
    -------
    Sheet or None
        The sheet as filled in; None where it was left.

    """
    form = Form(sheet, knowledge, around.width, around.ascii_only)
    ends: dict[str, Any] = {"input": source, "output": screen} if source else {}
    application = _application(form, around.coloured, ends)
    return form.sheet if application.run() else None


def _application(form: Form, coloured: bool, ends: dict[str, Any]) -> Application[bool]:
    controls = {path: BufferControl(cell) for path, cell in form.cells.items()}
    windows = {
        path: Window(control, height=1, width=_CELL_WIDTH, style="class:cell") for path, control in controls.items()
    }
    order = list(windows.values())
    layout = _layout(form, windows)

    def here() -> str:
        return next((path for path, window in windows.items() if layout_of.has_focus(window)), next(iter(windows)))

    below = Window(FormattedTextControl(lambda: form.below(here())), height=3)
    layout_of = Layout(HSplit([layout, Window(height=1, char="-"), below]), focused_element=order[0])
    return Application(
        layout=layout_of,
        key_bindings=_keys(form, order, lambda: layout_of),
        style=_STYLE,
        full_screen=True,
        color_depth=None if coloured else ColorDepth.DEPTH_1_BIT,
        **ends,
    )


def _layout(form: Form, windows: dict[str, Window]) -> HSplit:
    head = Window(FormattedTextControl([("class:head", intake_said(form.knowledge.trees, "form_head"))]), height=1)
    rows: list[Any] = []
    last = ""
    for path, group in form.fields.items():
        if group != last:
            rows.append(Window(FormattedTextControl([("class:head", group)]), height=1))
            last = group
        rows.append(VSplit([_name(form, path), windows[path]], height=1))
    left = ScrollablePane(HSplit(rows), show_scrollbar=False)
    picture = Window(FormattedTextControl(form.picture), width=form.picture_width, wrap_lines=False)
    return HSplit([head, VSplit([left, Window(width=2), picture])])


def _name(form: Form, path: str) -> Window:
    def told() -> StyleAndTextTuples:
        wrong = path in form.faults
        return [("class:wrong" if wrong else "", f"{'!' if wrong else ' '} {field_name(path)[: _NAME_WIDTH - 3]}")]

    return Window(FormattedTextControl(told), width=_NAME_WIDTH)


def _keys(form: Form, order: list[Window], layout: Callable[[], Layout]) -> KeyBindings:
    keys = KeyBindings()

    def move(by: int) -> Callable[[KeyPressEvent], None]:
        def to(event: KeyPressEvent) -> None:
            del event
            place = next((i for i, window in enumerate(order) if layout().has_focus(window)), 0)
            layout().focus(order[(place + by) % len(order)])

        return to

    for name in ("tab", "enter", "down"):
        keys.add(name)(move(1))
    for name in ("s-tab", "up"):
        keys.add(name)(move(-1))

    @keys.add("c-s", filter=Condition(lambda: not form.faults))
    def _keep(event: KeyPressEvent) -> None:
        event.app.exit(result=True)

    @keys.add("c-s", filter=Condition(lambda: bool(form.faults)))
    def _to_the_fault(event: KeyPressEvent) -> None:
        del event
        first = next(iter(form.faults))
        layout().focus(order[list(form.cells).index(first)])

    @keys.add("escape", eager=True)
    @keys.add("c-c")
    @keys.add("c-d")
    def _leave(event: KeyPressEvent) -> None:
        event.app.exit(result=False)

    return keys
