"""A small sound knowledge, invented for the rules' examples: each rule's example is one change to it."""

from __future__ import annotations

from advisor.geometry.register import MEASURES

__all__ = ["SOUND"]

_SORE_KNEE = """\
entry: sore_knee
kind: symptom
title: Back knee hurts
means: the back knee hurts
opening: "Let me see how the feet stand."
cautions: [not_medical, first_runs]
suspects:
  - {start: turnout, odds: 0.6, words: "foot turned away"}
  - {start: tip, odds: 0.3, words: "little between the feet"}
  - {start: edge, odds: 0.1, words: "dull edge"}
nothing_left: nothing
nodes:
  turnout:
    check: turnout_gap_deg
    foot: each
    says: "Does the foot stand as it does by itself?"
    how_so: "The stance angle less the relaxed turnout."
    source: common_practice
    branches:
      - {from: 12, go: turned}
      - {below: -12, go: turned}
      - {from: -12, below: 12, go: cleared}
  turned: {cause: foot_turned_away, go: turn_it}
  turn_it:
    aim: [{measure: turnout_gap_deg, foot: found}]
    says: "The {foot} foot is off by {turnout_gap_deg}."
    otherwise: nothing

  tip:
    ask: snow
    says: "Hard snow shakes the knee."
    how_so: "Soft snow gives way."
    branches:
      - {is: [hard], go: tip_splay}
      - {is: [soft], go: cleared}
    unsure: cleared
  tip_splay:
    check: splay_deg
    foot: board
    says: "Is there enough between the feet?"
    how_so: "Both stance angles together."
    source: common_practice
    branches:
      - {below: 6, go: close}
      - {from: 6, go: cleared}
  close: {cause: feet_close, go: step_out}
  step_out: {do: toe_strap_place, foot: each, steps: 1, otherwise: nothing}

  edge: {jump: dull_edge}
  nothing: {refer: look_again}
"""

_SORE_FOOT = """\
entry: sore_foot
kind: symptom
title: The foot hurts
means: the foot hurts
opening: "Signs first."
cautions: [not_medical]
first: signs
suspects:
  - {start: edge, odds: 1, words: "dull edge"}
nothing_left: nothing
nodes:
  signs:
    ask: foot_signs
    says: "A hurt foot is not set up."
    how_so: "No angle mends it."
    branches:
      - {is: ["yes", puffy], go: seen_first}
      - {is: ["no"], go: suspects}
    unsure: seen_first
  seen_first: {refer: doctor}
  edge: {jump: dull_edge}
  nothing: {refer: look_again}
"""

_FILES = {
    "entries/sore_knee.yaml": _SORE_KNEE,
    "entries/sore_foot.yaml": _SORE_FOOT,
    "entries/ask_angles.yaml": """\
entry: ask_angles
kind: question
title: Which angles?
means: which angles to set
opening: "As the feet turn by themselves."
cautions: [first_runs]
suspects:
  - {start: now, odds: 1, words: "the angles now"}
nothing_left: told
nodes:
  now:
    aim: [{measure: splay_deg, foot: board}]
    says: "Now {splay_deg} lie between the feet."
    otherwise: told
  told: {tell: "Turnout less angle is {turnout_gap_deg.front} in front."}
""",
    "parts/dull_edge.yaml": """\
part: dull_edge
start: look
nodes:
  look:
    look: edge_sharp
    says: "A dull edge slides at any set-up."
    how_so: "Hold comes from the corner of the edge."
    branches:
      - {is: ["no"], go: dull}
      - {is: ["yes"], go: cleared}
    unsure: cleared
  dull: {cause: edge_dull, go: tune}
  tune: {refer: tuning_bench}
""",
    "causes/foot_turned_away.yaml": """\
cause: foot_turned_away
title: The foot is turned away from how it stands
because: "The {foot} foot is turned {turnout_gap_deg} away."
how_so: "A foot turned away twists the knee."
feel: "The knee passes over the foot."
cautions: [not_medical, screws]
source: common_practice
""",
    "causes/feet_close.yaml": """\
cause: feet_close
title: There is little between the feet
because: "Only {splay_deg} lie between the feet."
how_so: "Feet in line block the hips."
feel: "The hips turn freely."
cautions: [not_medical]
source: common_practice
""",
    "causes/edge_dull.yaml": """\
cause: edge_dull
title: The edge is dull
because: "A rounded edge slides."
how_so: "It rides up on its own step."
feel: "The edge hisses."
cautions: [sharp_edges]
source: common_practice
""",
    "facts.yaml": """\
snow: {kind: choice, question: "What was the snow like?", how: Ask., minutes: 0.2, options: {hard: hard, soft: soft}}
foot_signs: {kind: choice, question: "Any?", how: Ask., minutes: 1, options: {"yes": "yes", puffy: puffy, "no": none}}
edge_sharp: {kind: choice, question: "Sharp?", how: Thumbnail., minutes: 1, options: {"yes": sharp, "no": dull}}
"mount.{foot}.angle_deg": {kind: number, unit: deg, question: "Angle of the {foot} foot?", how: Read it., minutes: 0.2}
""",
    "cautions.yaml": """\
first_runs: Take the first runs on easy ground.
not_medical: Pain that lasts is for a doctor.
screws: Thread all four screws first.
sharp_edges: Edges cut.
""",
    "referrals.yaml": """\
look_again: {to: another look, verdict: leave, says: "Nothing found.", cautions: [first_runs]}
doctor: {to: a doctor, verdict: clinician, says: "Have it seen first.", cautions: [not_medical]}
tuning_bench: {to: the tuning bench, verdict: tuning, says: "Have it sharpened.", cautions: [sharp_edges]}
not_enough_known: {to: the ruler, verdict: measure_first, says: "Measure first."}
travel_not_known: {to: the ruler, verdict: measure_first, says: "See how far it goes first."}
""",
    "sources.yaml": "".join(
        f"{name}: {{kind: derived, words: from the register}}\n"
        for name in sorted({"common_practice", *(measure.source for measure in MEASURES.values())})
    ),
    "signs/words.yaml": """\
concepts: {body: {knee: "knee"}, said: {swollen: "swollen"}, gear: {strap: "strap"}}
breaks: but
denials: not
no_denial: not only
lone_no: nope
after_lone_no: it
stops_denial: but
denied_after: is gone
joins: or
slips: swollen
unclear: maybe
""",
    "signs/body.yaml": """\
knee_swollen:
  {level: clinician, hear: [[knee], [swollen]], entry: sore_foot, facts: {foot_signs: "yes"}, words: swollen,
   source: common_practice}
""",
    "signs/gear.yaml": """\
strap_off: {level: not_ridden, hear: [[strap]], entry: sore_knee, words: a strap, source: common_practice}
""",
    "catalogue.yaml": """\
sore_knee: {kind: symptom, means: the back knee hurts}
sore_foot: {kind: symptom, means: the foot hurts}
ask_angles: {kind: question, means: which angles to set}
""",
    "dangers.yaml": """\
pain: {why: pain is for a clinician, words: [hurt, knee], cautions: [not_medical], source: common_practice}
edges: {why: edges cut, words: [dull], cautions: [sharp_edges], source: common_practice}
screws: {why: they come loose, adjustments: [angle_front], cautions: [screws, first_runs], source: common_practice}
""",
    "practice.yaml": "pitch_mm: {value: 1, unit: mm, source: common_practice, words: a thread}\n",
    "windows.yaml": """\
turnout_gap_deg: {good: [-8, 8], notice: 1, why: the knee, source: common_practice}
splay_deg: {good: [9, 36], notice: 1, why: the hips, source: common_practice}
""",
    "adjustments.yaml": """\
work:
  strap: {part: strap, screws: 0, turns: 0, minutes: 1, source: common_practice}
  loose: {part: disc, screws: 4, turns: 4, minutes: 2, cautions: [screws], source: common_practice}
adjustments:
  toe_strap_place:
    words: toe strap over the tip
    feet: each
    work: strap
    minutes: 1
    do: {plus: "set the {foot} toe strap over the tip"}
    source: common_practice
  angle_front:
    words: the front stance angle
    feet: front
    work: loose
    minutes: 1
    ways:
      - {moves: {mount.front.angle_deg: 1}, unit: deg, step: 3, bounds: [0, 45], for: [turnout_gap_deg, splay_deg]}
    do: {plus: "turn it out", minus: "turn it back"}
    source: common_practice
""",
    "limits.yaml": """\
at_a_time:
  angle_front: {usual: 6, most: 9}
only_shown: []
centre_left_mm: 2
worth_share: 0.25
source: common_practice
""",
    "doses.yaml": """\
all_feel: {turnout_gap_deg: {beyond: 6, source: common_practice}}
felt: {by_tenths: [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0], cases: 12, doubt: 1.5, source: common_practice}
wanted: {chance: 0.8, hardly: 0.1, source: common_practice}
costs: {strain_min: 0.4, spoiled_min: 20, minute_worth: 0.01, source: common_practice}
evidence: []
causes: {out_anyway: 0.15, answer_right: 0.9, source: common_practice}
doubt_below: {value: 0.1, source: common_practice}
""",
    "never_said.yaml": """\
open_on_a_lift:
  why: an opened strap drops the board
  together: [[on every lift, chair, way up], [open, loosen, unbuckle]]
  unless: [never]
  instead: say what to do at the top
  source: common_practice
thread_lock:
  why: it cracks plastic
  together: [[thread lock]]
  unless: [never]
  instead: name the maker's own screw
  source: common_practice
""",
    "estimates.yaml": """\
reading_error: {source: common_practice, words: a ruler, fields: {}}
believable: {}
row_pitch_mm: {source: common_practice, words: its name, patterns: {}}
rules: []
""",
    "boot_sizes.yaml": """\
foot_length_mm: {least: 150, most: 340, source: common_practice}
systems: {}
""",
    "fields.yaml": "rider.height_cm: {kind: number, unit: cm, words: body height, low: 90, high: 230}\n",
    "talk.yaml": """\
commands: {}
unsure: []
"yes": []
"no": []
greeting: Hello.
lost_once: What?
lost_twice: What?
not_ours: No.
not_written: No.
goodbye: Bye.
which: Which?
often: [{from: 0, words: at times}]
""",
}

SOUND: dict[str, str] = _FILES
"""Every file of the example under `trees/`, by its name there."""
