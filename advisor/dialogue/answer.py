"""The answer to a complaint: a cause with its smallest adjustment, a referral, or what is still needed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from advisor.dialogue.case import Case
from advisor.dialogue.gate import passed
from advisor.dialogue.gate_rules import load_gate
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.walk import Line, Question, Walk, walk
from advisor.dialogue.wanting import wanted
from advisor.errors import KnowledgeError
from advisor.geometry.measuring import measure
from advisor.geometry.register import MEASURES, SIDES, Place
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import (
    NOT_ENOUGH_KNOWN,
    TRAVEL_NOT_KNOWN,
    Aim,
    AimTarget,
    Ask,
    Cause,
    CauseText,
    Do,
    Fact,
    Jump,
    Mount,
    Node,
    Refer,
    Referral,
    Tell,
    feet_named,
)
from advisor.graph.window_branches import bounds_of
from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide

if TYPE_CHECKING:
    from advisor.doubt.doubts import Doubt
    from advisor.graph.nodes import Verdict
    from advisor.solve.aims import Aim as SolverAim
    from advisor.solve.chance.likely import Complaint, Likely
    from advisor.solve.choice import Choice
    from advisor.solve.out_of_window import OutOfWindow
    from advisor.solve.search import Search
    from advisor.solve.shortfall import Shortfall
    from advisor.solve.travel import Travel
    from advisor.solve.whole_mount import WholeMount

Outcome = Literal["advice", "needs", "refer"]


@dataclass(frozen=True)
class Answer:
    """What the walk and the solver found.

    Parameters
    ----------
    outcome
        `advice`, `needs` (a question is open) or `refer`.
    case, walk
        What it was found on.
    line
        The suspect that ended the walk.
    cause
        The cause shown, where one was.
    choice
        The adjustment to make, where there is one.
    mount
        The same, where it is the whole first set-up.
    search, aims
        What the solver found, and for what, where a measure had to come right.
    referral
        Who or what helps, where no adjustment does.
    beyond
        Who or what helps further, where the adjustment comes nearer and stays short.
    cautions
        The cautions' words, each once.
    lacking
        The sheet's fields that have to be read off first, where the answer hangs on them.
    doubts
        What on the sheet to measure again first, for the answer hangs on it.
    verdict_as
        What kind of answer it is, where it is not what its end would be.
    if_so
        The adjustment that would be made, were it shown what is only not ruled out.
    out_first
        The numbers outside their windows that the answer is about, where no cause of its own was shown.

    """

    outcome: Outcome
    case: Case
    walk: Walk
    line: Line | None = None
    cause: CauseText | None = None
    choice: Choice | None = None
    mount: WholeMount | None = None
    search: Search | None = None
    aims: tuple[SolverAim, ...] = ()
    referral: Referral | None = None
    beyond: Referral | None = None
    says: str = ""
    feel: str = ""
    cautions: tuple[str, ...] = field(default=())
    lacking: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    verdict_as: Verdict | None = None
    if_so: Choice | None = None
    out_first: tuple[OutOfWindow, ...] = ()

    @property
    def feet(self) -> tuple[FootSide, ...]:
        """Return the feet that the answer is about."""
        return self.line.feet if self.line else ()

    @cached_property
    def leave_it(self) -> bool:
        """Whether everything aimed at is right as it is."""
        met = self.search is None or self.search.outcome == "leave"
        return self.outcome == "advice" and self.choice is None and met

    @cached_property
    def out_of_window(self) -> tuple[OutOfWindow, ...]:
        """Return every number of the sheet outside its own window, whatever the complaint is about."""
        from advisor.solve.out_of_window import out_of_window

        return out_of_window(self.case.known)

    @property
    def goal(self) -> Choice | None:
        """Return where it may end, where the choice is a first step only."""
        return self.search.goal if self.search and self.choice is not None else None

    @property
    def partial(self) -> bool:
        """Whether the choice comes nearer and stays short, and no adjustment would do more."""
        return bool(self.search and self.search.partial and self.choice is not None)

    @property
    def likely(self) -> Likely | None:
        """Return the chance that the choice cures, where it was searched by that."""
        return self.search.likely if self.search and self.choice is not None else None

    @cached_property
    def cause_share(self) -> float:
        """Return the chance that the cause shown is the one that the rider feels."""
        from advisor.dialogue.cause_share import cause_share

        return cause_share(self)

    @property
    def doubtful_below(self) -> float:
        """Return the share of what the sheet allows below which a complaint hardly agrees with it."""
        from advisor.solve.chance.doses import load_doses

        return load_doses(self.case.trees).doubt_below

    @property
    def missed(self) -> Shortfall | None:
        """Return how near the best adjustment came, where what was aimed at can't be reached."""
        return self.search.shortfall if self.search and (self.choice is None or self.partial) else None


def answer_case(knowledge: Knowledge, case: Case, ready: Walk | None = None) -> Answer:
    """Walk a case and answer it as far as the facts reach.

    Parameters
    ----------
    knowledge
        The compiled knowledge.
    case
        The complaint at this moment.
    ready
        The walk of this very case, where it was made already.

    """
    done = ready or walk(knowledge, case)
    if done.found is None:
        return Answer("needs", case, done)
    line = done.found
    cause = knowledge.cause(line.cause) if line.cause else None
    ended = _Ending(knowledge, case, done, line, cause).reach(line.end)

    def again(without: frozenset[str]) -> Answer:
        return answer_case(knowledge, replace(case, ruled_out=case.ruled_out | without))

    answer = passed(knowledge, ended, again)
    if answer.outcome == "needs":
        return answer
    return replace(answer, cautions=(*_shown_by_the_sheet(answer), *answer.cautions))


def _shown_by_the_sheet(answer: Answer) -> tuple[str, ...]:
    """Return what is said with every answer: measures far out by told numbers, and so after the change as well."""
    from advisor.solve.windows import load_windows

    known = answer.choice.what_if.known_after if answer.choice and answer.choice.changes else answer.case.known
    said = []
    for name, words in load_phrasebook(known.trees).always_told.items():
        one = measure(known, MEASURES[name], Place())
        window = load_windows(known.trees).window(name, known.setup)
        told = one.known and not any(reading.origin == "assumed" for reading in one.inputs)
        if told and window and window.state(one.value) == "out":
            said.append(words)
    return tuple(said)


class _Ending:
    """Turns the node at a walk's end into an answer; one that can't be done hands over to its `otherwise`."""

    def __init__(self, knowledge: Knowledge, case: Case, done: Walk, line: Line, cause: CauseText | None) -> None:
        self.knowledge = knowledge
        self.case = case
        self.done = done
        self.line = line
        self.cause = cause
        self.search: Search | None = None
        self.aims: tuple[SolverAim, ...] = ()
        self.seen: set[str] = set()

    def reach(self, end: Node | None) -> Answer:
        """Return the answer of an end."""
        assert end is not None
        if end.id in self.seen:
            raise KnowledgeError(f"entry {self.done.entry.id}: node {end.id} hands over to itself; give it another end")
        self.seen.add(end.id)
        if isinstance(end, Refer):
            return self._refer(end)
        if isinstance(end, Tell):
            return self._answer(says=end.says, feel=end.feel)
        if isinstance(end, Do):
            return self._do(end)
        if isinstance(end, Cause | Jump):
            return self.reach(self.done.entry.nodes[end.go])
        if isinstance(end, Aim):
            return self._aim(end)
        if isinstance(end, Mount):
            return self._mount(end)
        raise KnowledgeError(f"entry {self.done.entry.id}: node {end.id} is no end; lead to an aim, do, tell or refer")

    def _mount(self, end: Mount) -> Answer:
        from advisor.solve.whole_mount import whole_mount

        made = whole_mount(self.case.sheet, self.case.trees, leads=end.leads, stance=end.stance)
        asked = tuple(
            path for path in made.setup.needs if path in self.knowledge.facts and path not in self.case.unsure
        )
        if asked:
            return self._lacking(end, asked)
        if made.setup.outcome == "refer":
            self.case = replace(self.case, sheet=made.setup.sheet_after)
            return self.reach(self.done.entry.nodes[end.otherwise])
        return replace(self._answer(made, says=end.says, feel=end.feel or made.setup.hand_over), mount=made)

    def _aim(self, end: Aim) -> Answer:
        from advisor.solve.today import find_today

        self.aims = solver_aims(end.targets, self.line.feet, self.case.known)
        own = {aim.key for aim in self.aims}
        kept = tuple(aim for aim in self.case.keep if aim.key not in own)
        allowed = end.allowed or None
        asked = self._laid_out_how(end)
        if asked:
            return asked
        sheet, known, shown = self.case.sheet, self.case.known, self._shown
        told = self._complaint
        self.search = find_today(sheet, self.aims, known=known, keep=kept, allowed=allowed, shown=shown, complaint=told)
        if kept and (self.search.needs or self.search.outcome == "none" or self.search.partial):
            self.search = find_today(sheet, self.aims, known=known, allowed=allowed, shown=shown, complaint=told)
        if self.search.needs:
            return self._lacking(end, self.search.needs)
        if self.search.outcome == "none":
            after = self.reach(self.done.entry.nodes[end.otherwise])
            return (after.referral and self._travel_first(end)) or after
        asked = self._start_first(end, self.search.best)
        if asked:
            return asked
        answer = self._answer(self.search.best, says=end.says, feel=end.feel)
        return self._whole_rather(answer, end) if self.search.partial else answer

    def _whole_rather(self, nearer: Answer, end: Aim) -> Answer:
        """Return what does it whole, where what comes after an aim does; else what comes nearer, with who helps on."""
        after = self.reach(self.done.entry.nodes[end.otherwise])
        if after.outcome == "advice" and after.choice is not None and not after.partial:
            return after
        travel = self._travel_first(end) if after.referral else None
        if travel is not None and travel.referral is None:
            return travel
        return replace(nearer, beyond=after.referral or after.beyond)

    @property
    def _complaint(self) -> Complaint | None:
        """Return what is told of a complaint beside the sheet; None for a question."""
        from advisor.solve.chance.likely import Complaint

        if self.done.entry.kind != "symptom":
            return None
        return Complaint(answers=self.case.answers, tried=self.case.tried)

    @property
    def _shown(self) -> bool:
        """Whether an answer or a look has shown the cause, and not the sheet alone or the lack of anything else."""
        asked = [step for step in self.line.steps if isinstance(step.node, Ask)]
        return self.done.doubted is None and any(step.answer is not None for step in asked)

    def _start_first(self, end: Aim | Do, choice: Choice | None) -> Answer | None:
        """Ask where the parts to be moved stand now, where nobody has told; None where it is known or can't be told."""
        told = self.case.sheet.value
        moved = [change.path for change in (choice.changes if choice else ()) if change.path]
        asked = [path for path in moved if told(path) is None and path not in self.case.unsure]
        facts = [self.knowledge.facts[path] for path in asked if path in self.knowledge.facts]
        return self._ask_all(end, facts) if facts else None

    def _laid_out_how(self, end: Aim) -> Answer | None:
        """Ask what has to be known before anything is worked out, such as how the inserts are laid out."""
        facts = [self.knowledge.facts[one.ask] for one in self._untold(end) if one.first and one.ask in self._askable]
        return self._ask_all(end, facts) if facts else None

    @property
    def _askable(self) -> set[str]:
        return set(self.knowledge.facts) - self.case.unsure

    def _untold(self, end: Aim) -> tuple[Travel, ...]:
        from advisor.solve.aims import kind_of
        from advisor.solve.travel import untold_travels

        return untold_travels(
            self.case.sheet, {kind_of(aim.key) for aim in self.aims}, end.allowed or None, trees=self.case.trees
        )

    def _travel_first(self, end: Aim) -> Answer | None:
        """Where nothing does it as far as travels are known: try what is usual, then ask for those that are not."""
        from advisor.solve.today import find_today
        from advisor.solve.travel import with_usual_travels

        travels = self._untold(end)
        facts = [self.knowledge.facts[one.ask] for one in travels if one.ask in self._askable]
        if facts:
            return self._ask_all(end, facts)
        usual = with_usual_travels(self.case.sheet, travels)
        if usual is not self.case.sheet:
            allowed = end.allowed or None
            tried = find_today(usual, self.aims, known=self.case.known, allowed=allowed, shown=self._shown)
            if tried.best and not tried.partial:
                self.search = tried
                best = replace(tried.best, sheet=self.case.sheet)
                return self._answer(best, says=end.says, feel=end.feel)
        lacking = tuple(one for one in travels if one.usual is None)
        if not lacking:
            return None
        return replace(self._refer(Refer(end.id, TRAVEL_NOT_KNOWN)), lacking=tuple(one.path for one in lacking))

    def _lacking(self, end: Aim | Mount, needs: tuple[str, ...]) -> Answer:
        """Ask for the numbers that the aim lacks; where they can't be told, say so."""
        facts = wanted(self.knowledge, self.case, needs)
        return self._ask_all(end, facts) if facts else self._refer(Refer(end.id, NOT_ENOUGH_KNOWN))

    def _ask_all(self, end: Aim | Do | Mount, facts: Sequence[Fact]) -> Answer:
        minutes = sum(fact.minutes for fact in facts)
        asked = (Question(facts[0], end, self.line.suspect, (), (), minutes, len(facts) - 1),)
        return Answer("needs", self.case, self.done._replace(found=None, questions=asked), self.line, self.cause)

    def _do(self, end: Do) -> Answer:
        from advisor.solve.steps import take_steps
        from advisor.solve.travel import untold_travels, with_usual_travels

        feet = tuple(side for side in feet_named(end.foot, self.line.feet) if side) or SIDES
        sheet, known = self.case.sheet, self.case.known
        choice = take_steps(sheet, known, end.adjustment, feet, end.steps)
        if choice is None:
            usual = with_usual_travels(sheet, untold_travels(sheet, {end.adjustment}, trees=self.case.trees))
            tried = take_steps(usual, known, end.adjustment, feet, end.steps)
            choice = replace(tried, sheet=sheet) if tried else None
        if choice is None:
            return self.reach(self.done.entry.nodes[end.otherwise])
        return self._start_first(end, choice) or self._answer(choice, says=end.says, feel=end.feel)

    def _answer(self, choice: Choice | None = None, says: str = "", feel: str = "") -> Answer:
        names = [
            *(self.cause.cautions if self.cause else ()),
            *self.done.entry.cautions,
            *_of_the_work(choice, self.case.trees),
        ]
        several = load_gate(self.case.trees).under_a_bundle if choice and len(choice.changes) > 1 else {}
        told = tuple(several.get(name) or self.knowledge.caution(name) for name in dict.fromkeys(names))
        cautions = (*(choice.cautions if choice else ()), *told)
        return Answer(
            "advice", self.case, self.done, self.line, self.cause, choice, search=self.search, aims=self.aims,
            says=says, feel=feel or (self.cause.feel if self.cause else ""), cautions=tuple(dict.fromkeys(cautions)),
        )  # fmt: skip

    def _refer(self, end: Refer) -> Answer:
        referral = self.knowledge.referral(end.referral)
        names = [*referral.cautions, *self.done.entry.cautions]
        return Answer(
            "refer", self.case, self.done, self.line, self.cause, search=self.search, aims=self.aims, referral=referral,
            cautions=_cautions(self.knowledge, names),
        )  # fmt: skip


def _of_the_work(choice: Choice | None, trees: Trees) -> tuple[str, ...]:
    """Return the cautions that what is opened for a choice always carries."""
    from advisor.solve.adjustments import load_adjustments

    known = load_adjustments(trees)
    made = [known[change.adjustment] for change in (choice.changes if choice else ()) if change.adjustment in known]
    return tuple(name for one in made for name in one.work.cautions)


def solver_aims(targets: tuple[AimTarget, ...], feet: tuple[FootSide, ...], known: Known) -> tuple[SolverAim, ...]:
    """Return the solver's aims: each target at each of its feet, in its own bounds or in its good window."""
    from advisor.solve.aims import Aim as SolverAim

    found = []
    for target in targets:
        for side in feet_named(target.foot, feet):
            key = _key(target.measure, side)
            found.append(SolverAim(key, *bounds_of(target, key, known)))
    return tuple(found)


def _key(measure: str, side: FootSide | None) -> str:
    """Return the solver's key: `heel_margin_deg.back` for a measure at a foot, `back.lean_deg` for a foot's field."""
    if side is None:
        return measure
    return measure.replace("foot.", f"{side}.", 1) if measure.startswith("foot.") else f"{measure}.{side}"


def _cautions(knowledge: Knowledge, names: list[str]) -> tuple[str, ...]:
    return tuple(knowledge.caution(name) for name in dict.fromkeys(names))
