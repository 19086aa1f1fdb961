"""Keep the rules revision by revision, so that any past day can be judged."""

from datetime import datetime

from django.db import transaction
from django.db.models import Max

from jobs import ledger
from jobs.models import Firm, LibraryText, Person
from safety.domain.verbs import Verb
from safety.library import KIND, rules_now
from safety.models import RulesRevision


@transaction.atomic
def keep_rules(*, firm: Firm, actor: Person | None, at: datetime) -> RulesRevision:
    """Add a revision when the rules are not those kept last. Safe to call any time.

    An edit of the hazard library counts from when it was made, not from when this ran.
    """
    rules = rules_now(firm)
    last = RulesRevision.objects.only("digest", "at").first()
    if last is not None and last.digest == rules.digest:
        return last
    revision = RulesRevision.objects.create(
        digest=rules.digest, texts=rules.texts.as_json(), at=_since(last, at)
    )
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=Verb.RULES_CHANGED,
        subject=revision,
        payload={"digest": rules.digest},
    )
    return revision


def _since(last: RulesRevision | None, at: datetime) -> datetime:
    if last is None:
        return at
    edited = LibraryText.objects.filter(kind=KIND).aggregate(last=Max("edited_at"))
    made: datetime | None = edited["last"]
    return made if made is not None and last.at < made < at else max(at, last.at)
