"""The rules in force at a moment."""

from datetime import datetime

from jobs.models import Firm
from safety.library import Rules, RuleTexts, keep_known, known_rules, rules_now
from safety.models import RulesRevision


def rules_at(at: datetime, firm: Firm) -> Rules:
    """The rules as they stood at a moment. At most four queries.

    From the last kept revision on it is what the libraries say now; before the first one
    it is the first one, since nothing older is known.
    """
    now = rules_now(firm)
    kept = list(RulesRevision.objects.values_list("pk", "digest", "at"))
    if not kept or at >= kept[0][2]:
        return now
    pk, digest, _ = next((row for row in kept if row[2] <= at), kept[-1])
    if digest == now.digest:
        return now
    return known_rules(digest) or _read(pk, digest)


def _read(pk: int, digest: str) -> Rules:
    texts = RulesRevision.objects.values_list("texts", flat=True).get(pk=pk)
    return keep_known(Rules(digest, RuleTexts.from_json(texts)))
