"""Look ahead in a plan: the next day's work, what may send it elsewhere, what age presumes dead. Words few things."""

import re
from itertools import accumulate

from revive.engine.compiled import compile_base
from revive.model import GATES, RuleBase, Task
from revive.plan import Assumed, Because, Plan, PlanPart, PlanTask
from revive.render.wording import Names, counted, flat, lower_first
from revive.text import hours_words, span

DAY_MINUTES = 420
MOST_TASKS = 10
MOST_CARDS = 3
CARD_MINUTES = 240
STRIP_MINUTES = 240
_HOW = r" (?:before|without|with the crank still|and (?:write|read|look|let)|so that)\b"
_KIND = r" (?:of|in|marked|to|for|as)\b|[,(]| \("


class Outlook:
    """What comes next in one plan.

    day: tasks for the next working day, in working order; none that waits for a gate which only evidence can open,
    except that a first day may pass from the place to the machine. perhaps: possible tasks that would come before them.
    carded: tasks whose whole card is printed: those due before the next gate, and the day's first hours; where there are
    none, the first that may be done now.
    """

    def __init__(self, plan: Plan, base: RuleBase, names: Names, reader: str) -> None:
        self.plan, self.base, self.names = plan, base, names
        self.behind = compile_base(base).behind
        self.open = {gate.id for gate in plan.gates if gate.state == "open"}
        self.day = self._day()
        now = [task for task in plan.tasks if task.state == "to_do" and task.allowed_now]
        due = self._due_next()
        self.carded = [*due, *(task for task in self._sitting() if task not in due)] or now[:MOST_CARDS]
        self.perhaps = [
            possible.task
            for possible in plan.possible
            if base.tasks[possible.task].gate == "touch" == plan.verdict.next_gate
            and base.tasks[possible.task].who == "owner"
            and not ("user_role" in possible.hangs_on and reader != "club_officer")
        ]

    def _day(self) -> list[PlanTask]:
        reachable = self.open | ({"touch"} if self.plan.verdict.next_gate == "touch" else set())
        finished = {task.id for task in self.plan.tasks if task.state == "done"}
        next_gate = self.plan.verdict.next_gate
        last = GATES.index(next_gate) + 1 if next_gate else len(GATES)
        chosen: list[PlanTask] = []
        minutes = 0
        for task in self.plan.tasks:
            may = task.state == "to_do" and not task.optional and task.certainty == "certain"
            may = may and all(gate in reachable for gate in self.behind[task.id]) and GATES.index(task.gate) <= last
            may = may and all(other in finished for other in task.after) and task.who in ("owner", "with_helper")
            if not may:
                continue
            minutes += task.minutes["likely"]
            if (chosen and minutes > DAY_MINUTES) or len(chosen) == MOST_TASKS:
                break
            chosen.append(task)
            finished.add(task.id)
        return chosen

    def _due_next(self) -> list[PlanTask]:
        """Work still to do before the next gate opens, and what an open gate before it left over."""
        if self.plan.verdict.next_gate is None:
            return []
        last = GATES.index(self.plan.verdict.next_gate)
        return [task for task in self.plan.tasks if task.state == "to_do" and GATES.index(task.gate) <= last]

    def _sitting(self) -> list[PlanTask]:
        minutes = list(accumulate(task.minutes["likely"] for task in self.day))
        return [task for task, so_far in zip(self.day, minutes, strict=True) if so_far <= CARD_MINUTES] or self.day[:1]

    def short(self, task: PlanTask) -> str:
        """A title cut where it begins to say how, only while nothing turns; in full beside the task itself."""
        return self.shortened(self.base.tasks[task.id]) if set(self.behind[task.id]) <= {"touch"} else flat(task.title)

    def shortened(self, task: Task) -> str:
        """A title cut where it begins to say how."""
        title = flat(task.title)
        head, _, tail = title.partition(",")
        long_enough = head.count(" ") >= 5 and " or " not in tail
        cut = re.split(_HOW, head if long_enough else title)[0]
        return cut if cut.count(" ") > 1 or (len(cut) > 9 and " " not in cut) else title

    def rests_on_desk(self) -> bool:
        """Whether every answer behind the plan's reasons is one that is told at the desk."""
        return all(self.base.questions[name].stage == 1 for name in self._told() if name in self.base.questions)

    def is_bare(self) -> bool:
        """Whether next to nothing was answered: no reason rests on an answer, and nothing is done."""
        return not self._told() and all(task.state == "to_do" for task in self.plan.tasks)

    def _told(self) -> set[str]:
        return {because.question for task in self.plan.tasks for reason in task.reasons for because in reason.because}

    def elsewhere(self) -> list[str]:
        """Findings of the looks ahead that would call for a strip or a workshop, the shortest first."""
        ahead = {name for task in self.plan.tasks if task.state == "to_do" for name in self.base.tasks[task.id].records}
        planned = {task.id for task in self.plan.tasks}
        reads = compile_base(self.base).questions_of
        found: dict[str, None] = {}
        for rule in self.base.rules.values():
            heavy = any(_is_heavy(self.base.tasks[name]) and name not in planned for name in rule.adds)
            soon = rule.severity == "stop" and any(gate in ("turn", "crank") for gate in rule.holds)
            open_yet = self.plan.rule_states.get(rule.id) != "certain" and ahead.intersection(reads[rule.id])
            if heavy and soon and open_yet and not any(name in self.plan.skipped for name in reads[rule.id]):
                found[lower_first(re.split(r"[.;:]|, so ", flat(rule.finding))[0])] = None
        return sorted(found, key=len)

    def presumed_dead(self) -> list[str]:
        """What age alone condemns, by what is bought for it, in working order: parts that are renewed unseen."""
        found: dict[str, None] = {}
        for task in self.plan.tasks:
            if task.state != "to_do" or not task.id.endswith(("_replace", "_rebuild")):
                continue
            rules = [reason.rule for reason in task.reasons if any(map(self._is_age, reason.because))]
            bought = [part.item for part in self.base.tasks[task.id].parts if not part.if_found]
            if bought and any(rule in self.base.rules for rule in rules):
                found[lower_first(re.split(_KIND, flat(bought[0]))[0])] = None
        return list(found)

    def _is_age(self, because: Because) -> bool:
        asked = self.base.questions.get(because.question)
        return asked is not None and asked.stage == 1 and asked.unit == "years"

    def buy_first(self) -> list[PlanPart]:
        """Parts for the next day's work."""
        day = {task.id for task in self.day}
        return [part for part in self.plan.parts if not part.if_found and day.intersection(part.tasks)]

    def holding(self) -> list[str]:
        """Each assumed answer that decides about a gate, with the look that settles it, without its worth."""
        held = [one for one in self.plan.assumed if not one.worth or one.worth["gates"]]
        return [self._assumed(one) for one in held]

    def assumed_lines(self) -> list[str]:
        """Each assumed answer with the look that settles it and what it decides."""
        return [self._assumed(one) + _worth(one) for one in self.plan.assumed]

    def _assumed(self, assumed: Assumed) -> str:
        looks = " or ".join(self.names.settled(task) for task in assumed.settled_by[:3])
        taken = self.names.value(assumed.question, assumed.value)
        settled = f"Settled by: {looks}." if looks else "Ask and look; nothing else settles it."
        return f"{self.names.question(assumed.question)} Taken as: {taken}. {settled}"


def _worth(assumed: Assumed) -> str:
    """What a look would decide, where it was reckoned."""
    worth = assumed.worth
    if not worth:
        return ""
    decides = [hours_words(worth["hours_least"], worth["hours_most"])] if worth["hours_most"] else []
    if worth.get("parts_most"):
        decides.append(f"up to {counted(worth['parts_most'], 'kind of part', 'kinds of parts')}")
    if worth["gates"]:
        decides.append(f"whether {counted(len(worth['gates']), 'gate is', 'gates are')} held")
    return (
        f" {span(worth['minutes'])} of looking decides {', '.join([*decides[:-2], ' and '.join(decides[-2:])])}."
        if decides
        else ""
    )


def _is_heavy(task: Task) -> bool:
    return task.who == "shop" or (task.who == "skilled" and task.minutes[1] >= STRIP_MINUTES)
