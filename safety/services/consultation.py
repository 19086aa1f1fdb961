"""Note that people were asked about a version of a statement."""

from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from jobs import ledger
from jobs.domain.refusals import Refused, SentBefore
from jobs.models import Person
from jobs.queries.firm import local_day, the_firm
from safety.domain.verbs import Verb
from safety.models import Consultation, Statement
from safety.permissions import require_consulting

_WHO_LONGEST = 240  # letters
_OVER = {Statement.State.SUPERSEDED, Statement.State.DROPPED}


@transaction.atomic
def note_consultation(
    *,
    statement: Statement,
    held_on: date,
    who: str,
    said: str,
    came_of_it: str,
    actor: Person,
    at: datetime,
    client_uid: UUID,
) -> Consultation:
    """Keep who was asked, what they said and what came of it.

    It stands beside the version and changes nothing in it: signatures go on counting.
    Sent twice it is noted once.
    """
    require_consulting(actor, statement.job)
    locked = Statement.objects.select_for_update(of=("self",)).get(pk=statement.pk)
    words = {"who": who.strip(), "said": said.strip(), "came_of_it": came_of_it.strip()}
    before = Consultation.objects.filter(client_uid=client_uid).first()
    if before is not None:
        return _same(before, locked, words)
    _refuse(locked, held_on, words, local_day(at, the_firm()))
    row = Consultation.objects.create(
        client_uid=client_uid,
        statement=locked,
        held_on=held_on,
        noted_by=actor,
        at=at,
        **words,
    )
    ledger.append(
        chain=locked.job,
        actor=actor,
        at=at,
        verb=Verb.CONSULTED,
        subject=row,
        payload={"number": locked.number, "held_on": held_on.isoformat(), **words},
    )
    return row


def _same(
    row: Consultation, statement: Statement, words: dict[str, str]
) -> Consultation:
    kept = {"who": row.who, "said": row.said, "came_of_it": row.came_of_it}
    if (row.statement_id, kept) != (statement.pk, words):
        raise SentBefore(f"a talk with {row.who}")
    return row


def _refuse(
    statement: Statement, held_on: date, words: dict[str, str], today: date
) -> None:
    if statement.state in _OVER:
        raise Refused(
            f"Version {statement.number} is not in use any more. Note it with the "
            "newest version."
        )
    reasons = []
    if held_on > today:
        reasons.append("Give a day that has been: nobody was asked on a day to come.")
    if not words["who"]:
        reasons.append("Name who was asked.")
    if len(words["who"]) > _WHO_LONGEST:
        reasons.append("Name fewer people at once; the rest in one more note.")
    if not words["said"] or not words["came_of_it"]:
        reasons.append(
            "Say what they said and what came of it; “nothing” is an answer."
        )
    if reasons:
        raise Refused(reasons)
