"""What is said of a reed's beginning, or of its end, when that is recorded already: `14-19 lot 7`, `3 name Wren`,
`1 12h before`; and of a reed that ended nobody knew of what, `1 r worn`. It becomes part of that event."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from reedkin.bench.bench import Bench
from reedkin.domain.facts import FACTS, Facts
from reedkin.domain.figures import tag_list
from reedkin.domain.instruments import instrument_named
from reedkin.domain.reeds import RETIRED, Reed, Step
from reedkin.domain.words import NOT_KNOWN
from reedkin.grammar.actions import AddedAction, Reading, ReedAction
from reedkin.grammar.rewording.playing_said import lasts
from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.reeds_named import tags_at
from reedkin.grammar.words.tokens import Problem, Token, tokens, word_at
from reedkin.grammar.words.verbs import MAKING_WORDS, in_full, verbs_beginning

Again = Callable[[str, Bench, Reed, Step], Reading]
"""How a line is read as what an event of a reed should have said."""
_IDLE = ("is", "are", "was", "were", "has", "have", "had", "of", "from", "with", "and")
_EARLIER = ("before", "already")


def read_making(line: str, bench: Bench, hand: Reed | None, again: Again) -> Reading | None:
    """Read a line that says nothing but how reeds were made, or what ended them; None where it is another."""
    words = tokens(line)
    if not words or any(word.kind != "word" for word in words):
        return None
    tags, count, problems = tags_at(words, bench)
    reeds = [bench.find(tag.text) for tag in tags] if tags else [hand]
    known = [bench.reed(reed.id) for reed in reeds if reed is not None]
    if problems or not known or len(known) < len(reeds):
        return None
    place = count if tags else 0
    while tags and word_at(words, place) in _IDLE:
        place += 1
    behind = words[place:]
    if ended := _of_its_end(behind, known):
        steps, said = ended, line[behind[0].start :]
    elif said := _of_its_making(line, behind, known, bool(tags)):
        steps = [reed.steps[0] for reed in known]
    else:
        return None
    return _added(line, said, behind[0].start, list(zip(known, steps, strict=True)), bench, again)


def _of_its_end(behind: Sequence[Token], reeds: Sequence[Reed]) -> list[Step]:
    """The ends of which nobody knew the cause, where that is what the words tell."""
    verb = next(iter(verbs_beginning(plain(word_at(behind, 0)))), None)
    ends = [step for reed in reeds if reed.stage == RETIRED for step in reed.standing[-1:]]
    unknown = all(step.kind == "retired" and step.facts.get("cause") == NOT_KNOWN for step in ends)
    retires = verb is not None and verb.kind == "retired"
    return ends if retires and len(behind) > 1 and unknown and len(ends) == len(reeds) else []


def _of_its_making(line: str, behind: Sequence[Token], reeds: Sequence[Reed], tagged: bool) -> str:
    """The words that a tying takes, or a joining, where that is all that a line says of its reeds; else nothing."""
    first, last = word_at(behind, 0), word_at(behind, len(behind) - 1)
    said = line[behind[0].start : behind[-1].end] if behind else ""
    joined = all(reed.steps[0].kind == "joined" for reed in reeds)
    if len(behind) < 2:
        return ""
    verb = in_full(first)
    played = int(verb is not None and verb.kind == "played")
    if last in _EARLIER and joined and lasts(behind, played):
        return line[behind[played].start : behind[-2].end]
    if verb is not None and verb.kind == "joined" and joined and instrument_named(word_at(behind, 1)) is None:
        at_work = all(reed.at_work for reed in reeds)
        return line[behind[1].start : behind[-1].end] if at_work else ""
    if len(behind) == 2 and last == "thread":
        return f"thread {first}"
    if first == "tube":
        named = word_at(behind, 1)  # T4; "tube off" is of the tubing
        return said if named[:1].isalpha() and any(letter.isdecimal() for letter in named) else ""
    return said if first in MAKING_WORDS and (tagged or verb is None) else ""


def _added(
    line: str, said: str, start: int, events: Sequence[tuple[Reed, Step]], bench: Bench, again: Again
) -> Reading:
    actions: list[AddedAction] = []
    errors: list[Problem] = []
    questions: list[Problem] = []
    known: dict[str, list[str]] = {}
    for reed, step in events:
        lead = f"{_VERBS[step.kind]} {step.facts.get('instrument', '')} " if step.kind != "retired" else ""
        read = again(f"{lead}{said}", bench, reed, step)
        shift = start - len(lead)

        def here(problem: Problem, shift: int = shift) -> Problem:
            return replace(problem, start=max(start, problem.start + shift), end=max(start, problem.end + shift))

        errors += map(here, read.errors)
        questions += map(here, read.questions)
        for action in read.actions:
            assert isinstance(action, ReedAction)
            new = {name: value for name, value in action.facts.items() if step.facts.get(name) != value}
            for name in (name for name in new if name in step.facts and step.kind != "retired"):
                known.setdefault(FACTS[name].told(step.facts[name]), []).append(reed.label)
            if new:
                actions.append(AddedAction(reed.label, step, new, action.note))
    once = {name for action in actions for name in action.facts if name in ("tube", "name")} if len(events) > 1 else ()
    asked = [f"{tag_list(tags)}: {was} so far; is that wrong?" for was, tags in known.items()]
    asked += dict.fromkeys(said for action in actions for said in _may_be_remark(action.facts, bench))
    asked += [f"one {name} for {len(events)} reeds?" for name in sorted(once)]
    questions += [Problem(start, len(line), message, "odd") for message in asked]
    if not actions and not errors:
        errors = [Problem(start, len(line), "that is what it says already")]
    return Reading(line, tuple(actions), tuple(dict.fromkeys(errors)), tuple(dict.fromkeys(questions)))


def _may_be_remark(facts: Facts, bench: Bench) -> Iterator[str]:
    """What to ask of a word that nobody has used so and that may be a part of a remark: "12 thread loose"."""
    for name in ("lot", "shape", "thread", "name"):
        said = facts.get(name)
        if not isinstance(said, str) or len(said) < 2 or not (said.isalpha() and said.islower()):
            continue
        if said not in (*_COLOURS, *map(str.casefold, bench.headings.known(name))):
            yield f"is {said} its {name}? for a remark write note before it"


_VERBS = {"tied": "tie", "joined": "join"}
_COLOURS = (
    "red", "orange", "yellow", "green", "teal", "blue", "purple", "violet", "pink", "brown", "white", "grey", "gray",
    "black", "gold", "silver", "turquoise", "navy",
)  # fmt: skip
