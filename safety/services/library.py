"""Every change of the firm's hazard library, from one control to a whole new file.

Each keeps the texts, a ledger entry for every file that changed, and a revision of the
rules; statements that say something else now are out of date from that moment.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from jobs.domain.refusals import Refused, Stale
from jobs.domain.roles import Can
from jobs.domain.yaml_lines import LibraryError
from jobs.models import Firm, LibraryText, Person
from jobs.permissions import require
from jobs.queries.firm import the_firm
from jobs.services.library import keep_texts, take_base
from safety.domain.library import Hazard, HazardLibrary
from safety.domain.library_text import rewritten
from safety.domain.merge import Side, Spot
from safety.library import KIND, parse_hazards, placed, rule_words, theme_of
from safety.queries.library import (
    FirmLibrary,
    Update,
    firm_library,
    hazard_digest,
    waiting_update,
)
from safety.queries.library_intake import Intake
from safety.services.rules import keep_rules

OWN = "own_"  # no shipped key begins with it

Why = Mapping[str, object]


@transaction.atomic
def add_hazard(*, hazard: Hazard, actor: Person, at: datetime) -> None:
    """Add a hazard of the firm's own, in the file that its theme names."""
    library = _locked(actor)
    if not hazard.key.startswith(OWN):
        raise Refused(f"The key of a hazard of your own begins with “{OWN}”.")
    if hazard.key in library.hazards.by_key():
        raise Refused("There is a hazard of that name already. Give it another.")
    if hazard.theme not in library.texts:
        raise Refused("Choose where the hazard belongs from the list.")
    hazards = HazardLibrary((*library.hazards.hazards, hazard))
    _keep(library, hazards, {"hazard": hazard.key, "does": "added"}, actor, at)


@transaction.atomic
def edit_hazard(
    *, hazard: Hazard, seen: str, does: str, actor: Person, at: datetime
) -> None:
    """Put a hazard in the place of the one with its key.

    ``seen`` is the digest of the hazard that the person saw, ``does`` what they did, for
    the ledger. Stale when somebody changed it since.
    """
    library = _locked(actor)
    _the_one(library, hazard.key, seen)
    hazards = HazardLibrary(
        tuple(
            hazard if one.key == hazard.key else one for one in library.hazards.hazards
        )
    )
    _keep(library, hazards, {"hazard": hazard.key, "does": does}, actor, at)


@transaction.atomic
def switch_hazard(
    *, key: str, off: str, seen: str, actor: Person, at: datetime
) -> None:
    """Switch a hazard off for a reason, or on again with an empty one."""
    old = _the_one(_locked(actor), key, seen)
    if bool(old.off) == bool(off):
        raise Refused("That is done already.")
    does = f"switched off: {off}" if off else "switched on"
    hazard = replace(old, off=off)
    edit_hazard(hazard=hazard, seen=seen, does=does, actor=actor, at=at)


@transaction.atomic
def drop_hazard(*, key: str, seen: str, actor: Person, at: datetime) -> None:
    """Take a hazard of the firm's own out. Days before keep it in their rules.

    Refused for a shipped one, which can only be switched off.
    """
    library = _locked(actor)
    _the_one(library, key, seen)
    if not key.startswith(OWN):
        raise Refused("A shipped hazard stays. Switch it off for a reason instead.")
    kept = (one for one in library.hazards.hazards if one.key != key)
    does = {"hazard": key, "does": "taken out"}
    _keep(library, HazardLibrary(tuple(kept)), does, actor, at)


@transaction.atomic
def bring_in(*, intake: Intake, seen: str, actor: Person, at: datetime) -> None:
    """Take a whole library that was looked at; ``seen`` names the one it was held against.

    All of it comes in or nothing. Refused with lines when it may not.
    """
    library = _locked(actor)
    if library.digest != seen:
        raise Refused("The library changed since you looked. Look at the file again.")
    if intake.faults:
        raise Refused([str(fault) for fault in intake.faults])
    _keep_texts(intake.texts, {"does": "brought in from a file"}, actor, at)


@transaction.atomic
def take_update(
    *, decided: Mapping[Spot, Side], seen: str, actor: Person, at: datetime
) -> None:
    """Bring the newer shipped library in, with every conflict decided by somebody."""
    update = waiting_update(_locked(actor))
    if update is None or update.digest != seen:
        raise Refused("Something changed since you looked. Look at it once more.")
    merged = update.merged(decided)
    if merged.open:
        raise Refused("Decide every point first: yours, or the new one.")
    sides = {spot.name: side.value for spot, side in decided.items()}
    why = {"does": "brought the update in", "decided": sides}
    _keep_texts(_updated(update, merged.library), why, actor, at)
    take_base(kind=KIND, actor=actor)


def _updated(update: Update, merged: HazardLibrary) -> dict[str, str]:
    """The merge by files: the lines are the shipped ones wherever the firm has none."""
    texts = {**update.library.texts, **update.texts}
    return {key: _text(key, text, merged) for key, text in texts.items()}


def _locked(actor: Person) -> FirmLibrary:
    require(actor, Can.EDIT_LIBRARY)
    list(LibraryText.objects.select_for_update().filter(kind=KIND).values_list("pk"))
    return firm_library()


def _the_one(library: FirmLibrary, key: str, seen: str) -> Hazard:
    hazard = library.hazards.by_key().get(key)
    if hazard is None or hazard_digest(hazard) != seen:
        raise Stale
    return hazard


def _keep(
    library: FirmLibrary, hazards: HazardLibrary, why: Why, actor: Person, at: datetime
) -> None:
    texts = {key: _text(key, text, hazards) for key, text in library.texts.items()}
    _keep_texts(texts, why, actor, at)


def _text(key: str, text: str, hazards: HazardLibrary) -> str:
    mine = tuple(hazard for hazard in hazards.hazards if hazard.theme == key)
    if placed({key: text}).hazards == mine:
        return text
    return rewritten(text, theme_of(key, text), mine, rule_words())


def _keep_texts(
    texts: Mapping[str, str], why: Why, actor: Person, at: datetime
) -> None:
    try:
        parse_hazards(texts)
    except LibraryError as error:
        raise Refused([fault.says for fault in error.faults]) from error
    keep_texts(kind=KIND, new=texts, why=why, actor=actor, at=at)
    firm: Firm = the_firm()
    keep_rules(firm=firm, actor=actor, at=at)
