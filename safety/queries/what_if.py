"""A job done otherwise: its plan worked out from changed facts. Nothing is kept."""

from dataclasses import dataclass, replace

from jobs.domain.dimensions import Dimensions
from jobs.domain.facts import JobFacts, facts_of
from jobs.domain.methods import TaskSpec
from jobs.domain.takeoff import take_off
from jobs.library import sections
from jobs.models import Job, JobDimensions
from jobs.queries.facts import task_specs
from safety.domain.engine import judged, settings_of
from safety.domain.what_if import Options, Outcome, outcome, with_options
from safety.domain.what_if_figures import Way, changed_figures
from safety.queries.plans import Draft, place_of, plan_of


@dataclass(frozen=True, slots=True)
class Basis:
    """What a job is made from now: its dimensions and its steps."""

    dimensions: Dimensions
    tasks: tuple[TaskSpec, ...]


def basis_of(job: Job) -> Basis | None:
    """The dimensions and steps of a job; None before it is measured. Three queries."""
    row = JobDimensions.objects.filter(job=job).first()
    return Basis(row.plain(), task_specs(job)) if row else None


def what_if(
    found: Draft, basis: Basis, dimensions: Dimensions, options: Options
) -> Outcome:
    """What would change in the plan ``found`` with other dimensions and another way.

    The same engine, rules, day and reviewers' changes; only the facts differ. No query.
    """
    facts = _facts(found.job, dimensions, with_options(basis.tasks, options))
    book = found.rules.book(place_of(facts))
    plan, _ = plan_of(facts, found.rules, found.on, found.edits)
    changes = outcome(
        found.plan,
        plan,
        found.matrix,
        lambda line: judged(
            facts, book, found.on, task_key=line.task_key, hazard=line.hazard
        ),
    )
    before = Way(found.plan, settings_of(found.facts, book, found.on))
    after = Way(plan, settings_of(facts, book, found.on))
    figures = changed_figures(before, after, book.library.by_key())
    return replace(changes, figures=figures)


def _facts(job: Job, dims: Dimensions, tasks: tuple[TaskSpec, ...]) -> JobFacts:
    site, kind = job.site.facts(), job.structure_kind
    worked = take_off(kind, dims, site, sections())
    return facts_of(kind, dims, site, tasks, worked, sections())
