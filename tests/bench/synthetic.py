"""Write rule folders of any size, shaped like the shipped one. For measuring only: nothing in them is advice.

A folder is a small core (gates, layouts, the first work behind each gate) and as many subjects as the size asks for.
A subject is what a subject of the shipped rules is: 30 rules in one file, 15 questions, 12 tasks in a chain, 3 derived
facts, 7 limits, 2 stops, 2 needs of gates, 3 contradictions, 2 oddities, 4 claims, 2 disclosures. Of the rules about half
read one question, a third two, the rest three or a derived fact; one in six compares numbers; two in three hold a gate;
two stop. Subjects differ by a seed; the same size and seed always give the same bytes. A subject's work hangs on its
own work and on a gate's first task, never on other subjects, as in a base that grows by subjects.

Run: python tests/bench/synthetic.py RULES FOLDER     writes the folder; `revive rules check FOLDER` proves it
"""

import random
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

RULES_A_SUBJECT = 30
LEAST_SUBJECTS = 3
GATE_OF_FIRST = {"crank": "hand_turn", "fire": "prime_starter", "roll": "photo_record", "road": "first_start"}
"""Gate before which a subject's work is due -> the first task that this work comes after."""

CORE = {
    "layouts.yaml": """layouts:
  wet_twin:
    title: Twin with its oil in the sump
    oil_path: [sump, pump, bearings]
    sediment: [sump floor]
    points: [{see: rocker, per: valve, how: A steady run.}]
    priming: [fill, crank]
    traps: [A blocked port starves one side.]
    facts: {oil_low_l: 2, oil_high_l: 3, pressure_rule: strict}
    source: common_practice
  dry_single:
    title: Single with an oil tank
    oil_path: [tank, pump, big end, sump, pump]
    sediment: [tank floor, sump floor]
    points: [{see: return pipe}]
    priming: [fill, kick]
    traps: [Oil left in the case.]
    facts: {oil_low_l: 1.5, oil_high_l: 1.8, pressure_rule: flow_first}
    source: common_practice
""",
    "sources.yaml": "sources:\n  made-up: {title: A made-up source, issued_by: nobody, edition: 1st, as_read: document}\n",
}
FIRST_WORK = (
    ("photo_record", "turn", ""),
    ("hand_turn", "crank", "photo_record"),
    ("prime_starter", "fire", "hand_turn"),
    ("first_start", "roll", "prime_starter"),
    ("ride_short", "road", "first_start"),
    ("ride_progressive", "claim", "ride_short"),
)
GATE_CHAIN = (
    ("touch", "", "photo_record"),
    ("turn", "touch", "hand_turn"),
    ("crank", "turn", "prime_starter"),
    ("fire", "crank", "first_start"),
    ("roll", "touch", "ride_short"),
    ("road", "roll", "ride_progressive"),
    ("claim", "", ""),
)
DESK = """stage: 1
title: At the desk
caution: Touch nothing yet.
questions:
  layout:
    ask: Which engine is it?
    kind: choice
    choices: {wet_twin: "oil in the sump", dry_single: "oil in a tank"}
    how: Look for a tank.
    why: The oil goes another way in each.
    worst: must_know
    first: 1
  plan_goal:
    ask: What is it for?
    kind: choice
    choices: {ride: "to ride it", keep: "to keep it"}
    how: Ask yourself.
    why: Less is needed to keep it.
    worst: ride
    first: 2
  years_stored:
    ask: How many years has it stood?
    kind: number
    unit: years
    range: [0, 80]
    how: Look at the last paper.
    why: Petrol and oil age.
    worst: 15
    first: 3
"""
TURN_NEED = (
    "      - {text: pictures taken, when: {years_stored: {at_least: 1}}, then: {done: photo_record}, "
    "source: common_practice}\n"
)
STAGES = ((2, "Walk round", ""), (3, "Hands on", "photo_record"), (4, "Hand turning", "hand_turn"))


def write_rules(folder: Path, rules: int, seed: int = 1) -> int:
    """Write a rules folder with at least this many rules into a new folder; how many it holds.

    folder: must not exist. rules: wanted; rounded up to whole subjects of 30, three at the least.
    """
    subjects = _subjects(rules)
    made = [Subject(number, random.Random(f"{seed} {number}")) for number in range(subjects)]
    for name in ("findings", "questions", "tasks"):
        (folder / name).mkdir(parents=True)
    for name, text in CORE.items():
        _write(folder / name, [text])
    _write(folder / "questions" / "1-desk.yaml", [DESK])
    for stage, title, opens_after in STAGES:
        head = f"stage: {stage}\ntitle: {title}\ncaution: Battery out first.\nquestions:\n"
        lines = (line for s in made if s.stage == stage for line in s.questions(opens_after))
        _write(folder / "questions" / f"{stage}-stage.yaml", [head, *lines])
    _write(folder / "tasks" / "first-work.yaml", ["about: The first work behind each gate\ntasks:\n", *_first_work()])
    for subject in made:
        system = folder / "findings" / f"system-{subject.number // 12}"
        system.mkdir(exist_ok=True)
        head = f"about: Subject {subject.number}\n"
        _write(system / f"{subject.name}.yaml", [head, "rules:\n", *subject.rules()])
        _write(folder / "tasks" / f"{subject.name}.yaml", [head, "tasks:\n", *subject.tasks()])
    _write(folder / "gates.yaml", ["gates:\n", *_gates(made)])
    parts = (
        ("limits", "limits"),
        ("derived", "facts"),
        ("stops", "stops"),
        ("contradictions", "contradictions"),
        ("plausibility", "oddities"),
    )
    for file, key in parts:
        _write(folder / f"{file}.yaml", [f"{key}:\n", *(line for s in made for line in getattr(s, key)())])
    claims = ["claims:\n", *(line for s in made for line in s.claims())]
    _write(folder / "claims.yaml", [*claims, "disclosures:\n", *(line for s in made for line in s.disclosures())])
    return subjects * RULES_A_SUBJECT


def write_record(path: Path, rules: int, share: float = 0.5, seed: int = 1) -> None:
    """Write a record for the folder of this size and seed. share: of the questions answered, one in ten "don't know"."""
    rng = random.Random(f"record {seed} {rules}")
    lines = ["record: 1\nanswers:\n  layout: wet_twin\n  plan_goal: ride\n  years_stored: 12\n"]
    for number in range(_subjects(rules)):
        subject = Subject(number, random.Random(f"{seed} {number}"))
        lines += [f"  {name}: {value}\n" for name, value in subject.answers(rng, share)]
    _write(path, [*lines, "done:\n  photo_record: {on: 2026-11-20}\n"])


class Subject:
    """One subject of a made-up rule base. Questions: a to k choices, n to p numbers, m a multi-answer."""

    def __init__(self, number: int, rng: random.Random) -> None:
        self.number, self.rng = number, rng
        self.name = f"subject-{number}"
        self.s = f"s{number}"
        self.stage = STAGES[number % 3][0]
        self.gate = ("crank", "fire", "roll", "road")[number % 4]
        self.tops = [rng.randrange(10, 90) for _ in range(7)]
        self.letters = "abcdefghijk"
        self.order = list(self.letters)
        rng.shuffle(self.order)

    def q(self, letter: str) -> str:
        """Name of a question."""
        return f"{self.s}_{letter}"

    def questions(self, opens_after: str) -> Iterator[str]:
        """Fifteen questions."""
        after = f"    opens_after: {opens_after}\n" if opens_after else ""
        for place, letter in enumerate(self.letters):
            kept = "" if place else f"    settled_by: [{self.s}_look]\n"
            skip = f"    skip_when: {{{self.q('a')}: good}}\n" if letter == "i" else ""
            yield (
                f"  {self.q(letter)}:\n    ask: How does part {letter} of subject {self.number} look?\n    kind: choice\n"
                '    choices: {good: "clean and dry", worn: "worn but whole", bad: "cracked or eaten", '
                'unseen: "nobody looked"}\n'
                f"    how: Wipe it, hold a lamp to it and look at both sides.\n    why: It is a sign of what lies below.\n"
                f"    worst: bad\n    blind: [unseen]\n{kept}{skip}{after}"
            )
        for letter in "nop":
            yield (
                f"  {self.q(letter)}:\n    ask: How much does {letter} of subject {self.number} measure?\n    kind: number\n"
                f"    unit: mm\n    range: [0, 100]\n    how: Measure it twice.\n    why: Wear shows in it.\n"
                f"    worst: 0\n{after}"
            )
        yield (
            f"  {self.q('m')}:\n    ask: What lies below part m of subject {self.number}?\n    kind: many\n"
            '    choices: {oil: "oil", water: "water", dust: "dust", nothing_there: "nothing"}\n    none: [nothing_there]\n'
            f"    how: Look below it.\n    why: It tells where to look next.\n    worst: [oil, water]\n{after}"
        )

    def tasks(self) -> Iterator[str]:
        """Twelve tasks in a chain behind the first task of an earlier gate."""
        first = GATE_OF_FIRST[self.gate]
        names = ["look", *(f"work{n}" for n in range(1, 12))]
        for place, name in enumerate(names):
            before = f"{self.s}_{names[place - 1]}" if place else first
            records = f"    records: [{self.q('a')}]\n" if not place else ""
            part = (
                f"    parts: [{{item: seal {place} of {self.number}, quantity: 2, unit: piece}}]\n" if place % 3 else ""
            )
            only = "    only_if: {layout: [wet_twin, dry_single]}\n" if place == 4 else ""
            again = f"    asks_again: [{self.q('b')}]\n" if place == 2 else ""
            yield (
                f"  {self.s}_{name}:\n    title: {name.capitalize()} on subject {self.number}\n    gate: {self.gate}\n"
                f"    who: {('owner', 'owner', 'with_helper', 'skilled')[place % 4]}\n    needs_level: bare\n"
                f"    minutes: {{least: 5, likely: {10 + place}, most: 40}}\n    after: [{before}]\n{only}"
                f"    tools: [lamp, rag]\n{part}    method: [Clean it and look., Renew what is worn., Put it back dry.]\n"
                f"    done_when: It was seen clean and tight on both sides.\n{records}{again}"
                f"    cautions: [Goggles against what springs off.]\n    source: common_practice\n"
            )

    def rules(self) -> Iterator[str]:
        """Thirty rules: their number of questions, holds and stops as in the shipped base."""
        q, order = self.q, self.order
        singles = [f"{{{q(letter)}: bad}}" for letter in order]
        singles += [f"{{{q('m')}: {{has: {found}}}}}" for found in ("water", "dust")]
        singles += [f'{{{self.s}_risk: "yes"}}', f"{{{self.s}_band: high}}"]
        conditions: list[tuple[str, list[tuple[str, str]]]] = [(when, []) for when in singles]
        for place, letter in enumerate("nop"):
            top = self.tops[place]
            less, more = (f"{q(letter)}: {top - 1}", f"{q(letter)}: {top}")
            conditions.append((f"{{{q(letter)}: {{less_than: {self.s}-limit-{place}}}}}", [(less, more)]))
        for place in range(8):
            a, b = q(order[place]), q(order[place + 1])
            both = (
                f"{{all: [{{{a}: [worn, bad]}}, {{{b}: bad}}]}}"
                if place % 2
                else f"{{any: [{{{a}: bad}}, {{{b}: worn}}]}}"
            )
            conditions.append((both, [(f"{a}: bad, {b}: {'bad' if place % 2 else 'good'}", f"{a}: good, {b}: good")]))
        for place in range(2):
            n, a = q("nop"[place]), q(order[place])
            top = self.tops[place + 3]
            read, other = (f"{self.s}_most", f", {q('n')}: 0") if place else (n, "")
            when = f"{{all: [{{{read}: {{at_least: {self.s}-limit-{place + 3}}}}}, {{not: {{{a}: good}}}}]}}"
            given = f"{a}: bad{other}"
            conditions.append((when, [(f"{n}: {top}, {given}", f"{n}: {top - 1}, {given}")]))
        for place in range(2):
            a, b, c = (q(order[place + n]) for n in (2, 4, 6))
            when = f"{{all: [{{{a}: bad}}, {{any: [{{{b}: bad}}, {{{c}: [worn, bad]}}]}}]}}"
            conditions.append((when, [(f"{a}: bad, {b}: bad, {c}: good", f"{a}: good, {b}: bad, {c}: bad")]))
        assert len(conditions) == RULES_A_SUBJECT
        for place, (when, examples) in enumerate(conditions):
            yield self._rule(place, when, examples)

    def _rule(self, place: int, when: str, examples: list[tuple[str, str]]) -> str:
        stop = place in (0, 4)
        severity = "stop" if stop else ("must_do", "must_do", "attention", "must_do", "note")[place % 5]
        work = sorted({1 + place % 11, 1 + (place * 4) % 11})
        adds = ", ".join(f"{self.s}_work{number}" for number in work)
        holds = f"    holds: {self.gate}\n" if severity in ("stop", "must_do") else ""
        raised = f"    stop: {self.s}-stop-{place}\n" if stop else ""
        shown = "".join(
            f"      - {{given: {{{fires}}}, is: certain}}\n      - {{given: {{{quiet}}}, is: quiet}}\n"
            for fires, quiet in examples
        )
        return (
            f"  {self.s}-rule-{place}:\n    when: {when}\n    finding: Finding {place} of subject {self.number} asks for work\n"
            f"    why: What is worn there does harm further on.\n    severity: {severity}\n    adds: [{adds}]\n{holds}{raised}"
            f"    source: {'{id: made-up, where: page 2}' if place % 3 else 'common_practice'}\n"
            + (f"    examples:\n{shown}" if shown else "")
        )

    def limits(self) -> Iterator[str]:
        """Seven limits, five of them read by rules or facts."""
        for place, top in enumerate(self.tops):
            yield (
                f"  {self.s}-limit-{place}: {{value: {top}, unit: mm, text: limit {place} of subject {self.number}, "
                "source: from_memory}\n"
            )

    def facts(self) -> Iterator[str]:
        """Three derived facts."""
        q = self.q
        yield f"  {self.s}_risk: {{yes_when: {{all: [{{{q('a')}: bad}}, {{not: {{{q('b')}: good}}}}]}}}}\n"
        yield f"  {self.s}_band: {{band: {q('p')}, up_to: [[20, low], [60, middle]], above: high}}\n"
        yield f"  {self.s}_most: {{largest: [{q('n')}, {q('o')}]}}\n"

    def stops(self) -> Iterator[str]:
        """Two stops, each raised by one rule and cleared by work and a look."""
        for place in (0, 4):
            yield (
                f"  {self.s}-stop-{place}:\n    title: Danger {place} of subject {self.number}\n    danger: It breaks under load.\n"
                f"    meanwhile: Leave it as it is.\n    who: owner\n    text: It was seen broken. Nothing moves until it is mended.\n"
                f"    clears_text: It was mended and seen to be good.\n    clears:\n      {self.s}-rule-{place}: "
                f"{{all: [{{done: {self.s}_work1}}, {{{self.q(self.order[place])}: [good, worn]}}]}}\n"
            )

    def needs(self) -> Iterator[str]:
        """Two needs of the gate before which the subject's work is due."""
        yield f"      - {{if_planned: [{self.s}_work1, {self.s}_work2]}}\n"
        yield (
            f"      - {{text: subject {self.number} looked at, when: {{{self.q('c')}: bad}}, "
            f"then: {{any: [{{done: {self.s}_work3}}, {{{self.q('d')}: good}}]}}, source: common_practice}}\n"
        )

    def contradictions(self) -> Iterator[str]:
        """Three pairs of answers that cannot both be so."""
        for place in range(3):
            a, b = self.q(self.order[place]), self.q(self.order[place + 5])
            yield (
                f"  {self.s}-clash-{place}: {{when: {{all: [{{{a}: good}}, {{{b}: bad}}]}}, questions: [{a}, {b}], "
                f"trusted: {b}, trust_text: It is the worse., text: One is good and the other bad.}}\n"
            )

    def oddities(self) -> Iterator[str]:
        """Two odd answers."""
        for place, letter in enumerate("no"):
            n = self.q(letter)
            yield f"  {self.s}-odd-{place}: {{when: {{{n}: {{more_than: 99}}}}, question: {n}, ask: So much?}}\n"

    def claims(self) -> Iterator[str]:
        """Four claims."""
        for place in range(4):
            a = self.q(self.order[place])
            yield (
                f"  {self.s}-claim-{place}: {{phrase: Part {place} of {self.number} good, evidence: {{all: [{{{a}: good}}, "
                f"{{done: {self.s}_work{place + 1}}}]}}, forbidden: {{{a}: bad}}, proved: It was seen good., "
                "unproved: It was not looked at., source: common_practice}\n"
            )

    def disclosures(self) -> Iterator[str]:
        """Two things that a seller has to say."""
        for place in range(2):
            a = self.q(self.order[place])
            yield f"  {self.s}-told-{place}: {{when: {{{a}: bad}}, text: Part {place} is broken., source: common_practice}}\n"

    def answers(self, rng: random.Random, share: float) -> Iterator[tuple[str, str]]:
        """Answers of a record: most of them good, so that some gates could open."""
        for letter in (*self.letters, *"nop", "m"):
            if rng.random() >= share:
                continue
            if rng.random() < 0.1:
                yield self.q(letter), "dont_know"
            elif letter in "nop":
                yield self.q(letter), str(rng.randrange(0, 100))
            elif letter == "m":
                yield self.q(letter), rng.choice(("[oil]", "[water, dust]", "nothing_there"))
            else:
                yield self.q(letter), rng.choices(("good", "worn", "bad", "unseen"), (6, 2, 1, 1))[0]


def _first_work() -> Iterator[str]:
    for name, gate, before in FIRST_WORK:
        yield (
            f"  {name}: {{title: First work of {name}, gate: {gate}, who: owner, minutes: {{least: 5, likely: 10, most: 20}}, "
            + (f"after: [{before}], " if before else "")
            + "method: [Do it slowly.], done_when: It is done and on record., source: common_practice}\n"
        )


def _gates(made: list[Subject]) -> Iterator[str]:
    for name, before, first in GATE_CHAIN:
        needs = [line for subject in made if subject.gate == name for line in subject.needs()]
        if name == "turn":
            needs.append(TURN_NEED)
        yield (
            f"  {name}:\n    title: The gate {name}\n    opens: what comes behind {name}\n    after: [{before}]\n"
            f"    first_task: {first or chr(34) * 2}\n    cautions: [Go slowly.]\n    who: owner\n    needs:{'' if needs else ' []'}\n"
        )
        yield from needs


def _subjects(rules: int) -> int:
    return max(LEAST_SUBJECTS, -(-rules // RULES_A_SUBJECT))


def _write(path: Path, pieces: list[str]) -> None:
    path.write_text("".join(pieces), encoding="utf-8")


if __name__ == "__main__":
    target = Path(sys.argv[2])
    if target.exists():
        sys.exit(f"{target} is there already; name a new folder")
    try:
        print(f"{write_rules(target, int(sys.argv[1]))} rules in {target}")
    except BaseException:
        shutil.rmtree(target, ignore_errors=True)
        raise
