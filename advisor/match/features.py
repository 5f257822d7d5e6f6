"""Features of a reading: the same code names them in training and at run time.

Kinds, by prefix: `w` stem, `b` two stems in a row, `s` two stems with one between, `c` concept, `d` two concepts
in one clause, `n` denied stem, `m` denied concept, `r`/`t` stem/concept in a clause that says all is well,
`g` letters inside a word, `q` question cue, `u` number of new words, `f` first words, `e` a concept in the text (once).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from advisor.match.lexicon import Lexicon
from advisor.match.reading import Clause, Reading, Word

Spoken = dict[str, list[Word]]
"""Features, each with the words that gave it."""

_MOST_NEW = 4
_PARTS_OF_WORD = (3, 4, 5)


def letters(form: str) -> Iterator[str]:
    """Pieces of 3 to 5 letters of a word, with its borders marked.

    >>> list(letters("heel"))[:4]
    ['<he', 'hee', 'eel', 'el>']
    """
    bordered = f"<{form}>"
    for size in _PARTS_OF_WORD:
        for place in range(len(bordered) - size + 1):
            yield bordered[place : place + size]


def common_word(word: str) -> str:
    """Return the name of the feature that a common English word has in the table of word meanings."""
    return "v" + word


def clause_features(clause: Clause, lexicon: Lexicon) -> Spoken:
    """Features of one clause."""
    found: Spoken = {}

    def add(name: str, words: Iterable[Word]) -> None:
        found.setdefault(name, []).extend(words)

    words = clause.words
    stems = ["#" if word.stem[0].isdigit() else word.stem for word in words]
    concepts = lexicon.concepts(stems)
    if clause.reassured:
        for word, stem in zip(words, stems, strict=True):
            add("r" + stem, (word,))
        for start, end, number in concepts:
            add(f"t{number}", words[start:end])
        return found
    for place, (word, stem) in enumerate(zip(words, stems, strict=True)):
        if word.denied:
            add("n" + stem, (word,))
            if word.dropped:
                continue
        add("w" + stem, (word,))
        if place:
            add(f"b{stems[place - 1]} {stem}", (words[place - 1], word))
            if place > 1:
                add(f"s{stems[place - 2]} {stem}", (words[place - 2], word))
        if len(word.form) > 2 and stem != "#":
            for piece in letters(word.form):
                add("g" + piece, (word,))
    if len(stems) > 1:
        add(f"f{stems[0]} {stems[1]}", words[:2])
    for start, end, number in concepts:
        if words[end - 1].denied:
            add(f"m{number}", words[start:end])
            if words[end - 1].dropped:
                continue
        add(f"c{number}", words[start:end])
    pairs = {number: words[start:end] for start, end, number in concepts if not words[end - 1].dropped}
    numbers = sorted(pairs)
    for place, one in enumerate(numbers):
        for other in numbers[place + 1 :]:
            add(f"d{one} {other}", [*pairs[one], *pairs[other]])
    return found


def telling_words(clause: Clause) -> set[str]:
    """Return the words of a clause that count for its meaning: none where all is well, none that are denied."""
    return set() if clause.reassured else {word.form for word in clause.words if not word.dropped}


def text_features(reading: Reading, clauses: list[Spoken], is_new: Callable[[str], bool]) -> Spoken:
    """Features of the whole text: its clauses' together, the question cues, and how many words are new to us.

    Parameters
    ----------
    reading, clauses
        The text and the features of its clauses.
    is_new
        True for words that stand in no phrase (but the text's own, in training).

    """
    whole: Spoken = {}
    for clause in clauses:
        for name, words in clause.items():
            whole.setdefault(name, []).extend(words)
    for cue in reading.question_cues:
        whole["q" + cue] = []
    new = sum(1 for word in {word.form for word in reading.words} if word.isalpha() and is_new(word))
    for count in range(1, min(new, _MOST_NEW) + 1):
        whole[f"unew{count}"] = []
    if reading.leading_foot:
        whole["qlead"] = []
    return whole
