"""The firm's heat limit at a moment, and how hard the tasks of jobs are."""

from collections.abc import Iterable
from datetime import datetime

from jobs.domain.facts import from_json
from jobs.models import FactsRevision, Firm, Job
from safety.domain.exposures.heat import Load
from safety.domain.exposures.tasks import work_load
from safety.domain.heat_limit import HeatLimit, heat_limit
from safety.queries.rules import rules_at
from safety.queries.staleness import latest_facts

UNKNOWN_LOAD = Load.HEAVY  # of a task that the facts do not know: the worse case


def limit_at(at: datetime, firm: Firm) -> HeatLimit:
    """The limit that the firm had at a moment. At most four queries."""
    return heat_limit(rules_at(at, firm).texts.heat)


def limit_now(firm: Firm) -> HeatLimit:
    """The limit that the firm has. No query."""
    return heat_limit(firm.heat_limit)


def task_loads_at(jobs: Iterable[Job], at: datetime) -> dict[int, dict[str, Load]]:
    """How hard each task is, by job id and key, from the facts then. Two queries."""
    last = latest_facts([job.pk for job in jobs], at)
    rows = FactsRevision.objects.filter(pk__in=[row.pk for row in last.values()])
    return {
        job_id: {task.key: work_load([task]) for task in from_json(facts).tasks}
        for job_id, facts in rows.values_list("job_id", "facts")
    }
