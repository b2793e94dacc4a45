"""The same rules in general-purpose rule engines, each set up once and then asked case by case.

Each is used in the quickest way found. What an engine needs to take in a case is counted as its own time, for that is what
a program that used it would wait for; setting up the rules is not counted, for any engine.
"""

import json
from collections.abc import Callable, Mapping
from typing import Any

from translate import AnyIn, Flag, Formula, Less, OneOf, Table, Translator, states

Judge = Callable[[Table], dict[str, str]]
_KEPT: list[Any] = []
"""What an engine prints to the table's midst when it is taken down; it stays up instead."""


def quoted(word: str) -> str:
    """A word in double quotes, as all of these engines write it."""
    return json.dumps(word)


def infix(formula: Formula, in_list: str) -> str:
    """A formula with infix operators. in_list: how an engine says that a list holds a word, of {word} and {name}."""
    if isinstance(formula, OneOf):
        words = ", ".join(map(quoted, formula.words))
        return f"{'not ' if formula.not_ else ''}({formula.name} in [{words}])"
    if isinstance(formula, AnyIn):
        held = " or ".join(in_list.format(word=quoted(word), name=formula.name) for word in formula.words)
        return f"{'not ' if formula.not_ else ''}({held})"
    if isinstance(formula, Less):
        sign = (">" if formula.or_equal else ">=") if formula.not_ else ("<=" if formula.or_equal else "<")
        return f"({formula.name} {sign} {formula.than})"
    if isinstance(formula, Flag):
        return f"({formula.name} == {'false' if formula.not_ else 'true'})"
    if not formula.parts:
        return "(1 == 2)" if formula.any_ else "(1 == 1)"
    return "(" + (" or " if formula.any_ else " and ").join(infix(part, in_list) for part in formula.parts) + ")"


def rule_engine_judge(translator: Translator) -> Judge:
    """rule-engine: one expression a question, matched against the table."""
    import rule_engine

    context = rule_engine.Context(resolver=rule_engine.resolve_item)

    def rule(formula: Formula) -> Any:
        return rule_engine.Rule(infix(formula, "({word} in {name})"), context=context)

    rules = {name: (rule(sure), rule(never)) for name, (sure, never) in translator.formulas.items()}

    def judge(table: Table) -> dict[str, str]:
        return {
            name: "certain" if sure.matches(table) else "quiet" if never.matches(table) else "possible"
            for name, (sure, never) in rules.items()
        }

    return judge


def zen_judge(translator: Translator) -> Judge:
    """zen-engine: one decision with one node of expressions, two for each rule."""
    import zen

    expressions, names = [], list(translator.formulas)
    for number, pair in enumerate(translator.formulas.values()):
        for key, formula in zip(("sure", "never"), pair, strict=True):
            value = infix(formula, "contains({name}, {word})")
            expressions.append({"id": f"{key}{number}", "key": f"{key}{number}", "value": value})
    nodes = [
        {"id": "in", "type": "inputNode", "name": "in", "position": {"x": 0, "y": 0}},
        {
            "id": "all",
            "type": "expressionNode",
            "name": "all",
            "position": {"x": 1, "y": 0},
            "content": {"expressions": expressions},
        },
        {"id": "out", "type": "outputNode", "name": "out", "position": {"x": 2, "y": 0}},
    ]
    edges = [
        {"id": "one", "type": "edge", "sourceId": "in", "targetId": "all"},
        {"id": "two", "type": "edge", "sourceId": "all", "targetId": "out"},
    ]
    decision = zen.ZenEngine().create_decision(json.dumps({"nodes": nodes, "edges": edges}))

    def judge(table: Table) -> dict[str, str]:
        found = decision.evaluate(table)["result"]
        return {
            name: "certain" if found[f"sure{number}"] else "quiet" if found[f"never{number}"] else "possible"
            for number, name in enumerate(names)
        }

    return judge


def business_rules_judge(translator: Translator) -> Judge:
    """business-rules: a rule a question, with a variable for every value; two numbers are compared as their difference."""
    from business_rules import run_all
    from business_rules.actions import BaseActions, rule_action
    from business_rules.fields import FIELD_TEXT
    from business_rules.variables import (
        BaseVariables,
        boolean_rule_variable,
        numeric_rule_variable,
        select_multiple_rule_variable,
        string_rule_variable,
    )

    made: dict[str, Any] = {}

    def known(decorator: Any, name: str, value: Callable[[Table], Any]) -> str:
        if name not in made:

            def read(self: Any) -> Any:
                return value(self.table)

            read.__name__ = name
            made[name] = decorator(label=name)(read)
        return name

    def condition(formula: Formula) -> dict[str, Any]:
        if isinstance(formula, OneOf):
            name = known(string_rule_variable, formula.name, lambda table: table[formula.name])
            tests = [{"name": name, "operator": "equal_to", "value": word} for word in formula.words]
            return none_of(tests) if formula.not_ else {"any": tests}
        if isinstance(formula, AnyIn):
            name = known(select_multiple_rule_variable, formula.name, lambda table: table[formula.name])
            operator = "shares_no_elements_with" if formula.not_ else "shares_at_least_one_element_with"
            return {"name": name, "operator": operator, "value": list(formula.words)}
        if isinstance(formula, Less):
            name = known(
                numeric_rule_variable,
                f"{formula.name}_less_{formula.than}",
                lambda table: round(table[formula.name] - table[formula.than], 9),
            )
            less = "less_than_or_equal_to" if formula.or_equal else "less_than"
            more = "greater_than" if formula.or_equal else "greater_than_or_equal_to"
            return {"name": name, "operator": more if formula.not_ else less, "value": 0}
        if isinstance(formula, Flag):
            name = known(boolean_rule_variable, formula.name, lambda table: table[formula.name])
            return {"name": name, "operator": "is_false" if formula.not_ else "is_true", "value": True}
        if not formula.parts:
            return {
                "name": known(boolean_rule_variable, "v_true", lambda table: True),
                "operator": "is_false" if formula.any_ else "is_true",
                "value": True,
            }
        return {"any" if formula.any_ else "all": [condition(part) for part in formula.parts]}

    def none_of(tests: list[dict[str, Any]]) -> dict[str, Any]:
        """The library has no "not", and no "differs from" for words: the same word is asked of a list of one."""
        words = [test["value"] for test in tests]
        name = tests[0]["name"]
        listed = known(select_multiple_rule_variable, name + "_listed", lambda table: [table[name]])
        return {"name": listed, "operator": "shares_no_elements_with", "value": words}

    rules = [
        {"conditions": condition(formula), "actions": [{"name": key, "params": {"rule": name}}]}
        for name, pair in translator.formulas.items()
        for key, formula in zip(("sure", "never"), pair, strict=True)
    ]
    variables = type(
        "Variables", (BaseVariables,), {"__init__": lambda self, table: setattr(self, "table", table), **made}
    )

    class Actions(BaseActions):
        def __init__(self) -> None:
            self.found: dict[str, set[str]] = {"sure": set(), "never": set()}

        @rule_action(params={"rule": FIELD_TEXT})
        def sure(self, rule: str) -> None:
            self.found["sure"].add(rule)

        @rule_action(params={"rule": FIELD_TEXT})
        def never(self, rule: str) -> None:
            self.found["never"].add(rule)

    def judge(table: Table) -> dict[str, str]:
        actions = Actions()
        run_all(rules, variables(table), actions, stop_on_first_trigger=False)
        return states(actions.found["sure"], actions.found["never"], translator.formulas)

    return judge


def clips_judge(translator: Translator) -> Judge:
    """clipspy: the case is one fact with a slot a value; a rule a question; what fires is read from the agenda."""
    import clips

    environment = clips.Environment()
    _KEPT.append(environment)
    lists = {f"v_{name.replace('-', '_')}" for name in translator.lists}
    names = sorted({name for pair in translator.formulas.values() for formula in pair for name in read_by(formula)})
    slots = " ".join(f"({'multislot' if name in lists else 'slot'} {name})" for name in names)
    environment.build(f"(deftemplate case {slots} (slot always))")
    for number, pair in enumerate(translator.formulas.values()):
        for key, formula in zip(("sure", "never"), pair, strict=True):
            slots = " ".join(f"({name} {'$' if name in lists else ''}?{name})" for name in sorted(read_by(formula)))
            environment.build(f"(defrule {key}-{number} (case {slots}) (test {prefix(formula)}) =>)")
    template = environment.find_template("case")
    rules = list(translator.formulas)
    word = {True: clips.Symbol("TRUE"), False: clips.Symbol("FALSE")}
    place = {f"{key}-{number}": (key, rule) for number, rule in enumerate(rules) for key in ("sure", "never")}
    wanted = set(names)

    def judge(table: Table) -> dict[str, str]:
        environment.reset()
        values = {name: value for name, value in table.items() if name in wanted}
        template.assert_fact(**{k: word[v] if isinstance(v, bool) else v for k, v in values.items()})
        found: dict[str, set[str]] = {"sure": set(), "never": set()}
        for activation in environment.activations():
            key, rule = place[activation.name]
            found[key].add(rule)
        return states(found["sure"], found["never"], translator.formulas)

    return judge


def read_by(formula: Formula) -> set[str]:
    """The variables that a formula reads."""
    if isinstance(formula, Less):
        return {formula.name, formula.than}
    if isinstance(formula, OneOf | AnyIn | Flag):
        return {formula.name}
    return {name for part in formula.parts for name in read_by(part)}


def prefix(formula: Formula) -> str:
    """A formula with operators before what they join."""
    if isinstance(formula, OneOf):
        held = " ".join(f"(eq ?{formula.name} {quoted(word)})" for word in formula.words)
        text = f"(or {held} FALSE)"
    elif isinstance(formula, AnyIn):
        text = f"(or {' '.join(f'(member$ {quoted(word)} ?{formula.name})' for word in formula.words)} FALSE)"
    elif isinstance(formula, Less):
        text = f"({'<=' if formula.or_equal else '<'} ?{formula.name} ?{formula.than})"
    elif isinstance(formula, Flag):
        text = f"(eq ?{formula.name} TRUE)"
    elif not formula.parts:
        return "(eq 1 2)" if formula.any_ else "(eq 1 1)"
    else:
        parts = " ".join(map(prefix, formula.parts))
        return f"(or {parts} FALSE)" if formula.any_ else f"(and {parts} TRUE)"
    return f"(not {text})" if formula.not_ else text


def clingo_judge(translator: Translator) -> Judge:
    """clingo: the program is read once, each case is grounded as a further step; numbers go in by their rank.

    The program has no choices, so grounding already decides every atom and nothing is left to be solved.
    """
    import clingo

    program = ["#program case(t).", "value(N, V, t) :- (N, V) = @values()."]
    for number, pair in enumerate(translator.formulas.values()):
        for key, formula in zip(("sure", "never"), pair, strict=True):
            program += _clauses(f"{key}_{number}", formula)
    control = clingo.Control(["--warn=none"])
    control.add("case", ["t"], "\n".join(line for line in program if not line.startswith("#program")))
    step = iter(range(1, 10**9))

    def judge(table: Table) -> dict[str, str]:
        now = clingo.Number(next(step))
        facts = _symbols(table)

        class Context:
            def values(self) -> list[clingo.Symbol]:
                return facts

        control.ground([("case", [now])], context=Context())
        atoms = control.symbolic_atoms
        sure = {rule for n, rule in enumerate(translator.formulas) if atoms[clingo.Function(f"sure_{n}", [now])]}
        never = {rule for n, rule in enumerate(translator.formulas) if atoms[clingo.Function(f"never_{n}", [now])]}
        return states(sure, never, translator.formulas)

    return judge


def _symbols(table: Table) -> list[Any]:
    import clingo

    ranks = {number: rank for rank, number in enumerate(sorted({v for v in table.values() if type(v) is float}))}
    found = []
    for name, value in table.items():
        for one in value if isinstance(value, list) else [value]:
            if type(one) is float:
                symbol = clingo.Number(ranks[one])
            else:
                symbol = clingo.String(one if isinstance(one, str) else "yes" if one else "no")
            found.append(clingo.Tuple_([clingo.Function(name), symbol]))
    return found


def _clauses(head: str, formula: Formula) -> list[str]:
    """The clauses that make an atom true exactly where its formula is."""
    if isinstance(formula, OneOf | AnyIn | Flag):
        words = ("yes",) if isinstance(formula, Flag) else formula.words
        if formula.not_:
            body = ", ".join(f"not value({formula.name}, {quoted(word)}, t)" for word in words)
            return [f"{head}(t) :- {body}."]
        return [f"{head}(t) :- value({formula.name}, {quoted(word)}, t)." for word in words]
    if isinstance(formula, Less):
        sign = (">" if formula.or_equal else ">=") if formula.not_ else ("<=" if formula.or_equal else "<")
        return [f"{head}(t) :- value({formula.name}, A, t), value({formula.than}, B, t), A {sign} B."]
    found = []
    bodies = [f"{head}_{place}" for place in range(len(formula.parts))]
    for body, part in zip(bodies, formula.parts, strict=True):
        found += _clauses(body, part)
    if formula.any_:
        return [*found, *(f"{head}(t) :- {body}(t)." for body in bodies)]
    return [*found, f"{head}(t) :- {', '.join(f'{body}(t)' for body in bodies)}." if bodies else f"{head}(t)."]


ENGINES: Mapping[str, Callable[[Translator], Judge]] = {
    "rule-engine": rule_engine_judge,
    "zen-engine": zen_judge,
    "business-rules": business_rules_judge,
    "clipspy": clips_judge,
    "clingo": clingo_judge,
}
"""Name in the registry -> what sets the engine up with the rules of a base."""
