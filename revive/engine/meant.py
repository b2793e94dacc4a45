"""Say which lines, parts and waste of a task are meant for this machine. Pure; guards of tasks are read here alone.

A guarded line is left out only where its condition is certainly false on recorded answers; not knowing drops nothing.
"""

from collections.abc import Sequence

from revive.engine.study import Study
from revive.frozen import replace
from revive.model import Part, RuleBase, Task
from revive.plan import PlanTask


def left_out(study: Study, task: Task) -> tuple[str, ...]:
    """The guarded lines of a task that are about parts which this machine is known not to have."""
    test, sight = study.case.compiled.test, study.recorded.sight
    return tuple(text for text, meant_for in task.guards.items() if test(meant_for, as_need=False)(sight) is False)


def meant_here(task: Task, left_out: Sequence[str]) -> Task:
    """The task without what is about parts that the machine does not have."""
    if not left_out:
        return task

    def kept(texts: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(text for text in texts if text not in left_out)

    return replace(
        task,
        tools=kept(task.tools),
        parts=tuple(part for part in task.parts if part.item not in left_out),
        method=kept(task.method),
        cautions=kept(task.cautions),
        changes_plan_if=kept(task.changes_plan_if),
        waste=kept(task.waste),
    )


def planned_task(base: RuleBase, planned: PlanTask) -> Task:
    """A task of a plan as it is meant on this machine."""
    return meant_here(base.tasks[planned.id], planned.left_out)


def parts_meant(study: Study, task: Task) -> tuple[Part, ...]:
    """The parts of a task that this machine may need."""
    guarded = [part.item for part in task.parts if part.item in task.guards]
    return meant_here(task, left_out(study, task)).parts if guarded else task.parts
