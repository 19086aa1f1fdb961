"""Invite people to their bookings by email, and take their answers in."""

from collections.abc import Collection, Sequence
from datetime import date, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import F, Q

from jobs import ledger
from jobs.background import run_after_commit
from jobs.domain.refusals import Refused
from jobs.models import Firm, Person
from jobs.queries import local_day, the_firm
from scheduling.domain.calendar import say_day
from scheduling.domain.verbs import Verb
from scheduling.feeds import Reply, invitation_bytes
from scheduling.models import Invitation, InvitationWish
from scheduling.notify import mail_invitation
from scheduling.queries.invitations import (
    Key,
    Message,
    Wanted,
    message_of,
    spans_of,
    uid_of,
    wanted_invitations,
)
from scheduling.services.plan_head import lock_head

NEVER = -1  # mailed_sequence before the first mail
_ANSWERS = {
    "ACCEPTED": Invitation.Answer.ACCEPTED,
    "TENTATIVE": Invitation.Answer.TENTATIVE,
    "DECLINED": Invitation.Answer.DECLINED,
}


@transaction.atomic
def set_wish(*, person: Person, wanted: bool, at: datetime) -> None:
    """Turn one's own invitations on or off. Off takes out what was sent for days ahead."""
    if wanted and not person.email:
        raise Refused("Ask the office to give you an email first.")
    rows = InvitationWish.objects
    if wanted:
        _, changed = rows.get_or_create(person=person, defaults={"since": at})
    else:
        changed = bool(rows.filter(person=person).delete()[0])
    if changed:
        ledger.append(
            chain=ledger.FIRM_CHAIN,
            actor=person,
            at=at,
            verb=Verb.INVITATIONS_ON if wanted else Verb.INVITATIONS_OFF,
            subject=person,
            payload={},
        )
        run_after_commit("scheduling.tasks.tell_people")


@transaction.atomic
def settle_invitations(*, at: datetime) -> int:
    """Bring invitations in step with the bookings, and have what changed mailed.

    ``sequence`` rises only where the booking changed for that person. Mails that are not
    out yet are asked for again. How many changed.
    """
    lock_head()  # one at a time
    firm = the_firm()
    wanted = wanted_invitations(firm, at)
    rows = _kept(wanted, firm, at)
    emails = dict(
        Person.objects.filter(pk__in={person for _, person in wanted}).values_list(
            "pk", "email"
        )
    )
    changed = 0
    for key, want in wanted.items():
        changed += _tell(rows.get(key), key, want, emails[key[1]] or "", at)
    changed += sum(_withdraw(row, at) for key, row in rows.items() if key not in wanted)
    _ask_for_mails()
    return changed


def _kept(wanted: Collection[Key], firm: Firm, at: datetime) -> dict[Key, Invitation]:
    """Invitations that may have to change: wanted ones, and those in force ahead."""
    ahead = Q(withdrawn_at__isnull=True, booking__end_on__gte=local_day(at, firm))
    named = Q(booking__in={b for b, _ in wanted}, person__in={p for _, p in wanted})
    rows = Invitation.objects.filter(ahead | named).order_by("pk")
    return {(row.booking_id, row.person_id): row for row in rows}


def _tell(
    row: Invitation | None, key: Key, want: Wanted, email: str, at: datetime
) -> bool:
    told = want.told()
    if row is None:
        Invitation.objects.create(
            booking_id=key[0],
            person_id=key[1],
            sent_to=email,
            told=told,
            changed_at=at,
        )
        return True
    if row.told == told and row.withdrawn_at is None and row.sent_to == email:
        return False
    row.told, row.sent_to, row.withdrawn_at = told, email, None
    _rise(row, at)
    return True


def _withdraw(row: Invitation, at: datetime) -> bool:
    if row.withdrawn_at is not None:
        return False
    row.withdrawn_at = at
    _rise(row, at)
    return True


def _rise(row: Invitation, at: datetime) -> None:
    row.sequence, row.changed_at = row.sequence + 1, at
    row.answer, row.answered_at, row.day_answers = Invitation.Answer.NONE, None, {}
    row.save()


def _ask_for_mails() -> None:
    waiting = Invitation.objects.filter(mailed_sequence__lt=F("sequence"))
    for row in waiting.order_by("pk"):
        run_after_commit(
            "scheduling.tasks.send_invitation",
            invitation_id=row.pk,
            sequence=row.sequence,
        )


@transaction.atomic
def send_invitation(*, invitation_id: int, sequence: int) -> bool:
    """Mail an invitation as it stands, unless that or a later state went out already.

    Should the process die between mail and commit, the mail goes out once more with the
    same UID, SEQUENCE and Message-ID, which changes nothing in a calendar. Whether one
    was sent.
    """
    rows = Invitation.objects.select_for_update(of=("self",)).select_related(
        "booking__visit__job__site", "person"
    )
    row = rows.filter(pk=invitation_id, sequence=sequence).first()
    if row is None or row.mailed_sequence >= sequence:
        return False
    never_told = row.mailed_sequence == NEVER and row.withdrawn_at is not None
    if not never_told:  # nobody need hear that what they never heard of is off
        _mail(message_of(row, the_firm()))
    row.mailed_sequence = sequence
    row.save(update_fields=["mailed_sequence"])
    return not never_told


def _mail(message: Message) -> None:
    intro = "This is off:" if message.withdrawn else "You are booked:"
    days = "\n".join(
        f"{say_day(span.day)}, {span.starts:%H:%M} to {span.ends:%H:%M}"
        for span in message.spans
    )
    mail_invitation(
        to=message.attendee,
        replies_to=message.organizer,
        subject=message.summary,
        text=f"{intro}\n{message.summary}\n{days}\n{message.location}\n"
        f"{message.description}\n",
        calendar=invitation_bytes(message),
        method="CANCEL" if message.withdrawn else "REQUEST",
        attempt=f"{message.sequence}.{message.uid}",
    )


@transaction.atomic
def record_replies(*, replies: Sequence[Reply], at: datetime) -> Invitation:
    """Keep what came in one message (one UID): all of it, or nothing. The invitation."""
    return [record_reply(reply=reply, at=at) for reply in replies][-1]


@transaction.atomic
def record_reply(*, reply: Reply, at: datetime) -> Invitation:
    """Keep what a person's calendar program answered (RFC 5546, section 3.2.3).

    Of all days, or of one: a later answer of all days stands for each. Refused when
    nobody was invited under that UID and address, or to that day, when it answers
    another state of the booking than the present one, and when a later answer is known.
    """
    row = _answered(reply)
    answer = _ANSWERS.get(reply.answer)
    if answer is None:
        raise Refused(f"“{reply.answer}” is not an answer to an invitation.")
    day = _day_of(reply, row)
    known, since = _known_answer(row, day)
    if since is not None and reply.stamp < since:
        raise Refused("A later answer is known already.")
    if (known, since) == (answer, reply.stamp):
        return row
    if day is None:
        row.answer, row.answered_at = answer, reply.stamp
        row.day_answers = {
            told: said
            for told, said in row.day_answers.items()
            if datetime.fromisoformat(said["at"]) > reply.stamp
        }
    else:
        said = {"answer": answer.value, "at": reply.stamp.isoformat()}
        row.day_answers = {**row.day_answers, day.isoformat(): said}
    row.save(update_fields=["answer", "answered_at", "day_answers"])
    _log_answer(row, answer, day, at)
    return row


def _day_of(reply: Reply, row: Invitation) -> date | None:
    """The day an answer is about; None when it is about all of them."""
    place = reply.place
    if place is None:
        return None
    if isinstance(place, datetime):
        zone = ZoneInfo(the_firm().time_zone)
        place = (place.astimezone(zone) if place.tzinfo else place).date()
    if place not in {span.day for span in spans_of(row)}:
        raise Refused(f"{say_day(place)} is not a day of this invitation.")
    return place


def _known_answer(row: Invitation, day: date | None) -> tuple[str, datetime | None]:
    """What is known of all days, or of one, and since when."""
    said = row.day_answers.get(day.isoformat()) if day else None
    if said is not None:
        return said["answer"], datetime.fromisoformat(said["at"])
    if day is None:
        return row.answer, row.answered_at
    return "", row.answered_at


def _log_answer(
    row: Invitation, answer: Invitation.Answer, day: date | None, at: datetime
) -> None:
    payload = {"answer": answer.value, "sequence": row.sequence}
    ledger.append(
        chain=row.booking.visit.job,
        actor=row.person,
        at=at,
        verb=Verb.INVITATION_ANSWERED,
        subject=row.booking,
        payload=payload if day is None else {**payload, "day": day.isoformat()},
    )


def _answered(reply: Reply) -> Invitation:
    rows = Invitation.objects.select_for_update(of=("self",)).select_related(
        "booking__visit__job", "person"
    )
    known = _uuid(reply.uid)
    row = rows.filter(uid=known).first() if known else None
    if row is None or uid_of(row) != reply.uid:
        raise Refused("Nobody was invited under this UID.")
    if row.sent_to.casefold() != reply.attendee.casefold():
        raise Refused(f"{reply.attendee} was not invited to this.")
    if reply.sequence < row.sequence:
        raise Refused("It answers the booking as it was before it changed.")
    if reply.sequence > row.sequence or row.withdrawn_at is not None:
        raise Refused("There is no such state of this booking to answer.")
    return row


def _uuid(uid: str) -> UUID | None:
    try:
        return UUID(uid.removesuffix("@eavesline"))
    except ValueError:
        return None
