"""The proof: numbered rules over the compiled knowledge, each in its own file with an example that it must catch."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.knowledge.fault import Fault
from advisor.knowledge.trees import Trees, authors
from advisor.workshop.proof import (
    t01_catalogue,
    t02_every_answer_leads_on,
    t03_cleared_in_its_place,
    t04_every_node_reached,
    t05_no_circle,
    t06_every_walk_ends,
    t07_intervals_cover_all,
    t08_answers_cover_all_options,
    t09_worst_first,
    t10_measures_exist,
    t11_found_after_a_foot,
    t12_measures_can_be_had,
    t13_facts,
    t14_causes,
    t15_referrals,
    t16_cautions,
    t17_sources,
    t18_parts_used,
    t19_adjustments,
    t20_aims_can_be_met,
    t21_placeholders,
    t22_cause_before_end,
    t23_ends,
    t24_cautions_where_it_can_hurt,
    t25_odds,
    t26_no_contradiction,
    t27_no_branch_in_vain,
    t28_no_window_typed_again,
    t29_never_said,
    t30_discs_carry_the_screws,
    t31_one_visit_at_a_time,
    t32_signs_end_in_no_setting,
    t33_pain_asks_after_signs,
)
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject

RULES: tuple[Rule, ...] = tuple(
    module.RULE
    for module in (
        t01_catalogue,
        t02_every_answer_leads_on,
        t03_cleared_in_its_place,
        t04_every_node_reached,
        t05_no_circle,
        t06_every_walk_ends,
        t07_intervals_cover_all,
        t08_answers_cover_all_options,
        t09_worst_first,
        t10_measures_exist,
        t11_found_after_a_foot,
        t12_measures_can_be_had,
        t13_facts,
        t14_causes,
        t15_referrals,
        t16_cautions,
        t17_sources,
        t18_parts_used,
        t19_adjustments,
        t20_aims_can_be_met,
        t21_placeholders,
        t22_cause_before_end,
        t23_ends,
        t24_cautions_where_it_can_hurt,
        t25_odds,
        t26_no_contradiction,
        t27_no_branch_in_vain,
        t28_no_window_typed_again,
        t29_never_said,
        t30_discs_carry_the_screws,
        t31_one_visit_at_a_time,
        t32_signs_end_in_no_setting,
        t33_pain_asks_after_signs,
    )
)
"""Every rule, in the order of its number."""


def prove(compiled: dict[str, Any], trees: Trees | None = None) -> list[Fault]:
    """Prove compiled knowledge sound, or say what is not.

    Parameters
    ----------
    compiled
        What `compile_knowledge` returned without faults.
    trees
        The files that it was made from; the authors' where they are not given.

    Returns
    -------
    list of Fault
        Each once, with its rule's number, by file and line; empty for sound knowledge.

    """
    subject = Subject(compiled, trees or authors())
    found = {replace(fault, rule=rule.name): None for rule in RULES for fault in rule.check(subject)}
    return sorted(found, key=lambda fault: (fault.file, fault.line, fault.rule))
