"""What stands in the way of reviewing and issuing a statement."""

from jobs.models import Job
from safety.domain.tolerance import TO_CLEAR, above_tolerance, works_up_to
from safety.queries.plans import Draft


def blockers(job: Job, found: Draft | None) -> list[str]:
    """Reasons why the plan may not be reviewed now, empty when it may. No query."""
    if not job.is_open:
        return ["This job is closed. Open it again first."]
    if found is None:
        return ["The dimensions are not set, so there is no plan to review."]
    reasons = []
    if job.site_lead_id is None:
        reasons.append("Nobody leads this site yet. Name a site lead on the job.")
    if not found.facts.tasks:
        reasons.append("The job has no tasks. Give it a task sequence.")
    return [*reasons, *_uncovered(found), *_above_tolerance(found)]


def _uncovered(found: Draft) -> list[str]:
    names = {task.key: task.name for task in found.facts.tasks}
    return [
        f"No hazard is written for “{names[key]}”. Add what could hurt people there, "
        "or add a rule to the hazard library."
        for key in found.plan.uncovered_tasks()
    ]


def _above_tolerance(found: Draft) -> list[str]:
    up_to = works_up_to(found.matrix)
    return [
        f"{line} with its controls; the firm works up to {up_to}, a line that the owner "
        f"draws and not the law. To clear it, {TO_CLEAR}."
        for line in above_tolerance(found.plan, found.matrix)
    ]
