"""Keep the facts of a job revision by revision, so that any past day can be judged."""

from datetime import datetime

from django.db import transaction

from jobs import ledger
from jobs.domain.facts import digest, to_json
from jobs.domain.verbs import Verb
from jobs.models import FactsRevision, Job, Person
from jobs.queries.facts import current_facts


@transaction.atomic
def record_facts(
    *, job: Job, cause: str, actor: Person, at: datetime
) -> FactsRevision | None:
    """Add a revision when the facts really changed. None when they are not complete.

    Call it after every change to dimensions, sequence or site.
    """
    facts = current_facts(job)
    if facts is None:
        return None
    now_digest = digest(facts)
    last = job.facts_revisions.order_by("-number").first()
    if last is not None and last.digest == now_digest:
        return last
    revision = FactsRevision.objects.create(
        job=job,
        number=(last.number if last else 0) + 1,
        digest=now_digest,
        facts=to_json(facts),
        cause=cause[:160],
        at=at,
        actor=actor,
    )
    ledger.append(
        chain=job,
        actor=actor,
        at=at,
        verb=Verb.FACTS_CHANGED,
        subject=revision,
        payload={"number": revision.number, "digest": now_digest, "cause": cause},
    )
    return revision
