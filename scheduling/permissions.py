"""The only doors to scheduling's records: fetching is the check.

404 when the person may not see the record, 403 when they may see but not do.
"""

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from jobs.domain.roles import Can
from jobs.models import Job, Person
from jobs.permissions import require, visible_jobs
from scheduling.models import (
    Absence,
    Booking,
    Closure,
    Crew,
    CrewMember,
    Delivery,
    Draft,
    FeedLink,
    LostDay,
    Plant,
    PlantOut,
    Supplier,
    Visit,
)


def _need(person: Person, to: Can | None) -> None:
    if to is not None:
        require(person, to)


def visible_crews(person: Person) -> QuerySet[Crew]:
    """All crews for those who see the schedule, otherwise one's own."""
    crews = Crew.objects.select_related("lead")
    if person.can(Can.SEE_SCHEDULE):
        return crews
    mine = Crew.objects.filter(Q(lead=person) | Q(members__person=person))
    return crews.filter(pk__in=mine.values("pk"))


def get_crew(person: Person, pk: int, *, to: Can | None = None) -> Crew:
    """One crew they may see, and may do ``to`` with."""
    crew = get_object_or_404(visible_crews(person), pk=pk)
    _need(person, to)
    return crew


def get_crew_member(person: Person, pk: int, *, to: Can | None = None) -> CrewMember:
    """One place in a crew they may see."""
    places = CrewMember.objects.select_related("crew", "person")
    place = get_object_or_404(places, pk=pk, crew__in=visible_crews(person))
    _need(person, to)
    return place


def get_absence(person: Person, pk: int, *, to: Can | None = None) -> Absence:
    """One absence; the office keeps them."""
    require(person, Can.SEE_SCHEDULE)
    absence = get_object_or_404(Absence.objects.select_related("person", "crew"), pk=pk)
    _need(person, to)
    return absence


def get_closure(person: Person, pk: int, *, to: Can | None = None) -> Closure:
    """One closure of the firm; the office keeps them."""
    require(person, Can.SEE_SCHEDULE)
    closure = get_object_or_404(Closure, pk=pk)
    _need(person, to)
    return closure


def get_lost_day(person: Person, pk: int, *, to: Can | None = None) -> LostDay:
    """One day lost to weather: the office keeps them, a lead sees their own."""
    found = LostDay.objects.select_related("job", "recorded_by")
    if not person.can(Can.SEE_SCHEDULE):
        mine = found.filter(pk=pk, recorded_by=person).first()
        if mine is None or not may_undo_lost_day(person, mine):
            require(person, Can.SEE_SCHEDULE)
    lost = get_object_or_404(found, pk=pk)
    if to is not None and not may_undo_lost_day(person, lost):
        require(person, to)
    return lost


def get_plant(person: Person, pk: int, *, to: Can | None = None) -> Plant:
    """One kind of shared plant; the office keeps it."""
    require(person, Can.SEE_SCHEDULE)
    plant = get_object_or_404(Plant, pk=pk)
    _need(person, to)
    return plant


def get_plant_out(person: Person, pk: int, *, to: Can | None = None) -> PlantOut:
    """Some plant out of service; the office keeps it."""
    require(person, Can.SEE_SCHEDULE)
    out = get_object_or_404(PlantOut.objects.select_related("plant"), pk=pk)
    _need(person, to)
    return out


def may_lose_day(person: Person, job: Job | None) -> bool:
    """Whether they may call a day off: the office any, a lead that of their own job."""
    if person.can(Can.EDIT_SCHEDULE):
        return True
    leads = job is not None and job.site_lead_id == person.pk
    return leads and person.can(Can.RUN_SITE_DAY)


def may_undo_lost_day(person: Person, lost: LostDay) -> bool:
    """Whether they may take it back: the office any, a lead what they called off."""
    if person.can(Can.EDIT_SCHEDULE):
        return True
    return lost.recorded_by_id == person.pk and may_lose_day(person, lost.job)


def get_supplier(person: Person, pk: int, *, to: Can | None = None) -> Supplier:
    """One supplier; those who order deliveries keep them."""
    require(person, Can.ORDER_DELIVERIES)
    supplier = get_object_or_404(Supplier, pk=pk)
    _need(person, to)
    return supplier


def visible_deliveries(person: Person) -> QuerySet[Delivery]:
    """Deliveries of jobs they may see."""
    return Delivery.objects.filter(
        job__in=visible_jobs(person).values("pk")
    ).select_related("job__site", "job__client", "supplier")


def get_delivery(person: Person, pk: int, *, to: Can | None = None) -> Delivery:
    """One delivery of a job they may see."""
    delivery = get_object_or_404(visible_deliveries(person), pk=pk)
    _need(person, to)
    return delivery


def get_visit(person: Person, pk: int, *, to: Can | None = None) -> Visit:
    """One visit of a job they may see."""
    visits = Visit.objects.filter(dropped_at__isnull=True).select_related(
        "job__site", "job__client"
    )
    visit = get_object_or_404(visits, pk=pk, job__in=visible_jobs(person).values("pk"))
    _need(person, to)
    return visit


def get_booking(person: Person, pk: int, *, to: Can | None = None) -> Booking:
    """One booking of a job they may see."""
    bookings = Booking.objects.select_related("visit__job__site", "crew")
    jobs = visible_jobs(person).values("pk")
    booking = get_object_or_404(bookings, pk=pk, visit__job__in=jobs)
    _need(person, to)
    return booking


def get_draft(person: Person, pk: int, *, to: Can | None = None) -> Draft:
    """One draft of the plan, for those who see the schedule."""
    require(person, Can.SEE_SCHEDULE)
    draft = get_object_or_404(Draft.objects.select_related("run", "made_by"), pk=pk)
    _need(person, to)
    return draft


def may_share(person: Person, whose: Person | None) -> bool:
    """Whether they may hand out a calendar link: the office any, others their own."""
    return person.can(Can.SHARE_CALENDARS) or (
        whose is not None and whose.pk == person.pk and person.is_active
    )


def visible_feed_links(person: Person) -> QuerySet[FeedLink]:
    """Calendar links in use: all for those who hand them out, otherwise one's own."""
    links = FeedLink.objects.filter(revoked_at__isnull=True).select_related(
        "crew", "person", "job"
    )
    return (
        links if person.can(Can.SHARE_CALENDARS) else links.filter(person_id=person.pk)
    )


def get_feed_link(person: Person, pk: int) -> FeedLink:
    """One calendar link they may see; those who see it may revoke it."""
    return get_object_or_404(visible_feed_links(person), pk=pk)


def feed_link_for_nonce(nonce: str | None) -> FeedLink:
    """The link behind a secret address, without login.

    404 once it is revoked, and for somebody who no longer works here.
    """
    links = FeedLink.objects.filter(revoked_at__isnull=True).exclude(
        person__is_active=False
    )
    return get_object_or_404(links.select_related("crew", "person", "job"), nonce=nonce)
