"""Pages: who may open them, what a wrong form answers, what a right one does."""

from datetime import date
from uuid import uuid4

import pytest
from django.contrib.messages import get_messages
from django.db import IntegrityError
from django.urls import reverse

from jobs.models import ApprovalKind
from scheduling.models import (
    Absence,
    Booking,
    Closure,
    Crew,
    Delivery,
    LostDay,
    Plant,
    Receipt,
    Supplier,
)
from scheduling.services.visits import sync_visits
from tests.scheduling.plans import publish, slot

TUESDAY, WEDNESDAY = date(2026, 8, 4), date(2026, 8, 5)


@pytest.fixture
def office(client, oscar, time_machine, now):
    """The office at its desk on Monday morning."""
    time_machine.move_to(now)
    client.force_login(oscar)
    return client


def url(name, *args):
    return reverse(f"scheduling:{name}", args=args)


def text(answer):
    return answer.content.decode()


# Who sees what: the page, then the answer for office, owner, Sal, Lou, crew, guest.
SEEN = {
    "plan": (200, 200, 403, 403, 403, 403),
    "crew_list": (200, 200, 200, 200, 200, 200),
    "crew_add": (200, 403, 403, 403, 403, 403),
    "absence_list": (200, 200, 403, 403, 403, 403),
    "absence_add": (200, 403, 403, 403, 403, 403),
    "lostday_add": (200, 403, 200, 200, 403, 403),
    "delivery_list": (200, 200, 200, 200, 403, 403),
    "supplier_list": (200, 403, 403, 403, 403, 403),
    "link_list": (200, 200, 200, 200, 200, 200),
}


@pytest.mark.parametrize("page", SEEN)
def test_who_sees_a_page(page, client, people):
    for person, expected in zip(people, SEEN[page], strict=True):
        client.force_login(person)
        assert client.get(url(page)).status_code == expected, person


@pytest.fixture
def people(oscar, olive, sal, lou, cam, gus):
    return (oscar, olive, sal, lou, cam, gus)


# The same for the pages of one thing: Sal's crew, and a delivery for Sal's job.
def test_who_sees_a_crew(client, people, blue, kim):
    for person, expected in zip(
        (*people, kim), (200, 200, 200, 404, 404, 404, 200), strict=True
    ):
        client.force_login(person)
        assert client.get(url("crew_detail", blue.pk)).status_code == expected, person
        edit = client.get(url("crew_edit", blue.pk)).status_code
        assert edit == {200: 403, 404: 404}[expected] or person.is_office


def test_who_sees_and_checks_in_a_delivery(client, people, delivery):
    for person, expected in zip(people, (200, 200, 200, 404, 404, 404), strict=True):
        client.force_login(person)
        page = client.get(url("delivery_detail", delivery.pk)).status_code
        assert page == expected, person
        receive = client.get(url("delivery_receive", delivery.pk)).status_code
        assert receive == (403 if person.is_owner else expected), person


def test_a_crew_is_made_and_a_taken_name_comes_back(office, blue):
    answer = office.post(url("crew_add"), {"name": "Blue", "base": "Our yard"})
    assert answer.status_code == 422
    assert "Our yard" in text(answer)
    answer = office.post(url("crew_add"), {"name": "Green"})
    assert answer.status_code == 302
    assert Crew.objects.filter(name="Green").exists()


def test_a_stale_crew_form_keeps_what_was_typed(office, blue):
    form = {"name": "Blue", "base": "Yard", "version": 1, "is_active": "on"}
    office.post(url("crew_edit", blue.pk), form)
    answer = office.post(url("crew_edit", blue.pk), {**form, "base": "Shed"})
    assert answer.status_code == 422
    assert "Shed" in text(answer)
    again = office.post(
        url("crew_edit", blue.pk), {**form, "base": "Shed", "version": 2}
    )
    assert again.status_code == 302


def test_people_join_and_leave_a_crew(office, blue, ned):
    office.post(url("crew_join", blue.pk), {"person": ned.pk, "from_on": "2026-08-04"})
    place = blue.members.get(person=ned)
    answer = office.post(url("crew_leave", place.pk), {"to_on": "2026-08-03"})
    assert answer.status_code == 422
    assert "last day lies before the first" in text(answer)
    office.post(url("crew_leave", place.pk), {"to_on": "2026-08-07"})
    place.refresh_from_db()
    assert place.to_on == date(2026, 8, 7)


def test_days_off_are_recorded_and_taken_back(office, kim, blue):
    days = {"from_on": "2026-08-04", "to_on": "2026-08-05", "reason": "Leave"}
    assert office.post(url("absence_add"), days).status_code == 422
    office.post(url("absence_add"), {**days, "person": kim.pk})
    office.post(url("closure_add"), {**days, "reason": "Stocktake"})
    page = text(office.get(url("absence_list")))
    assert "Kim Crew" in page
    assert "Stocktake" in page
    office.post(url("absence_detail", Absence.objects.get().pk))
    office.post(url("closure_remove", Closure.objects.get().pk))
    assert Absence.objects.get().cancelled_at is not None
    assert not Closure.objects.exists()


def test_a_lead_calls_a_day_of_their_job_off_and_works_after_all(
    client, job, blue, make_job, lou, oscar, now, time_machine
):
    sal = job.site_lead
    time_machine.move_to(now)
    tuesday = date(2026, 8, 4)
    publish({(job.pk, 1): (blue, slot(tuesday), slot(tuesday, "pm"))}, oscar, now)
    other = make_job("Lou's", site_lead=lou)
    client.force_login(sal)
    form = {"day": "2026-08-04", "reason": "Storm"}
    assert client.post(url("lostday_add"), form).status_code == 422
    assert client.post(url("lostday_add"), {**form, "job": other.pk}).status_code == 422
    sunday = client.post(
        url("lostday_add"), {**form, "day": "2026-08-09", "job": job.pk}
    )
    assert sunday.status_code == 422
    assert "The firm does not work on Sun 9 Aug 2026." in text(sunday)
    assert 'value="Storm"' in text(sunday)
    client.post(url("lostday_add"), {**form, "job": job.pk})
    lost = LostDay.objects.get()
    assert lost.job == job
    detail = url("lostday_detail", lost.pk)
    assert detail in text(client.get(url("lostday_add")))
    assert "Work on that day after all" in text(client.get(detail))
    client.force_login(lou)
    assert client.post(detail).status_code == 403
    client.force_login(sal)
    client.post(detail)
    lost.refresh_from_db()
    assert lost.cancelled_at is not None
    assert detail not in text(client.get(url("lostday_add")))


def test_a_supplier_is_kept(office):
    office.post(url("supplier_add"), {"name": "Frames", "usual_lead_days": 8})
    supplier = Supplier.objects.get()
    assert office.get(url("supplier_list")).status_code == 200
    form = {"name": "Frames", "usual_lead_days": -1, "version": 1}
    assert office.post(url("supplier_edit", supplier.pk), form).status_code == 422


@pytest.mark.parametrize("days", [366, 10_000_000, 10**20])
def test_a_wait_that_no_plan_can_reckon_with_is_refused(office, supplier, days):
    form = {"name": "Frames", "usual_lead_days": days, "version": 1}
    answer = office.post(url("supplier_edit", supplier.pk), form)
    assert answer.status_code == 422
    assert "Make it at most 365." in text(answer)
    supplier.refresh_from_db()
    assert supplier.usual_lead_days == 10


def test_the_most_of_a_line_is_said_as_a_whole_number(office, job, bom, supplier):
    form = {"supplier": supplier.pk, "due_half": "am", f"line_{bom['sheet'].pk}": 1e7}
    answer = office.post(url("delivery_add", job.pk), form)
    assert "Make it at most 1000000." in text(answer)
    assert "1000000.0" not in text(answer)


def test_a_crew_starts_from_somewhere_on_earth(office, blue):
    form = {"name": "Blue", "base_latitude": "90.1", "base_longitude": "-180.1"}
    answer = office.post(url("crew_edit", blue.pk), {**form, "version": blue.version})
    assert answer.status_code == 422
    assert "Make it at most 90." in text(answer)
    assert "Make it at least -180." in text(answer)


@pytest.mark.parametrize(
    ("model", "values"),
    [
        (Supplier, {"name": "X", "usual_lead_days": 366}),
        (Plant, {"tool": "x", "name": "X", "count": 1001}),
        (Crew, {"name": "X", "base_latitude": 91}),
        (Crew, {"name": "X", "base_longitude": -181}),
        (ApprovalKind, {"key": "x", "name": "X", "usual_days": 366}),
    ],
)
def test_the_database_refuses_figures_that_no_plan_can_reckon_with(db, model, values):
    with pytest.raises(IntegrityError):
        model.objects.create(**values)


def test_figures_at_the_limit_are_kept(db):
    Supplier.objects.create(name="X", usual_lead_days=365)
    Crew.objects.create(name="X", base_latitude=-90, base_longitude=180)


def test_the_owner_reads_deliveries_and_tools_and_changes_none(
    client, olive, delivery, job
):
    client.force_login(olive)
    page = text(client.get(url("delivery_list"), {"show": "all"}))
    assert url("delivery_detail", delivery.pk) in page
    assert url("supplier_list") not in page
    page = text(client.get(url("delivery_detail", delivery.pk)))
    assert url("delivery_list") in page
    assert url("delivery_receive", delivery.pk) not in page
    assert url("delivery_edit", delivery.pk) not in page
    tools = text(client.get(reverse("safety:own_tool_list")))
    for name in ("tool_item_add", "tool_tests_switch"):
        assert reverse(f"safety:{name}") not in tools
    assert reverse("safety:own_tool_edit", args=["drop_saw"]) not in tools
    assert "Drop saw" in tools or "drop saw" in tools


def test_an_owner_who_is_refused_is_told_whose_part_it_is(client, olive, kim, job):
    client.force_login(olive)
    answer = client.get(url("delivery_add", job.pk))
    assert answer.status_code == 403
    assert "order deliveries. It is a part of the office." in text(answer)
    assert reverse("jobs:person_roles", args=[olive.pk]) in text(answer)
    assert "ask the owner" not in text(answer)
    client.force_login(kim)
    assert "ask the owner" in text(client.get(url("supplier_list")))


def test_nobody_is_away_for_more_than_two_years(office, kim):
    form = {"person": kim.pk, "from_on": "2026-08-03", "reason": "Leave"}
    answer = office.post(url("absence_add"), {**form, "to_on": "2028-08-04"})
    assert "Give a last day within two years" in text(answer)
    shut = office.post(url("closure_add"), {**form, "to_on": "2028-08-04"})
    assert "Give a last day within two years" in text(shut)
    assert office.post(url("absence_add"), {**form, "to_on": "2028-08-03"}).url


@pytest.mark.parametrize(
    ("due", "ordered", "says"),
    [
        ("2026-08-05", "2026-08-06", "it was ordered on Thu 6 Aug 2026"),
        ("2026-08-02", "", "Sun 2 Aug 2026 is over"),
    ],
)
def test_no_load_is_ordered_for_a_day_before(
    office, job, bom, supplier, due, ordered, says
):
    form = {"supplier": supplier.pk, "due_half": "am", f"line_{bom['sheet'].pk}": 1}
    days = {"due_on": due, "ordered_on": ordered}
    answer = office.post(url("delivery_add", job.pk), {**form, **days})
    assert answer.status_code == 422
    assert says in text(answer)
    assert not Delivery.objects.exists()


def test_a_load_on_a_day_nobody_works_is_kept_and_said(office, job, bom, supplier):
    form = {"supplier": supplier.pk, "due_on": "2026-08-09", "due_half": "am"}
    line = {f"line_{bom['sheet'].pk}": "12"}
    add = url("delivery_add", job.pk)
    answer = office.post(add, {**form, **line}, follow=True)
    assert "It comes on Sun 9 Aug 2026: the firm does not work then" in text(answer)
    change = url("delivery_edit", Delivery.objects.get().pk)
    form |= {"due_on": "2026-08-10", "version": 1}
    assert "It comes on" not in text(office.post(change, {**form, **line}, follow=True))


def test_a_delivery_is_ordered_changed_and_called_off(office, job, bom, supplier):
    form = {"supplier": supplier.pk, "due_on": "2026-08-05", "due_half": "am"}
    line = {f"line_{bom['sheet'].pk}": "12"}
    answer = office.post(url("delivery_add", job.pk), {**form, "due_half": "am"})
    assert answer.status_code == 422
    assert "Say how many of at least one line" in text(answer)
    office.post(url("delivery_add", job.pk), {**form, **line})
    row = Delivery.objects.get()
    later = {**form, **line, "due_on": "2026-08-06", "version": 1}
    office.post(url("delivery_edit", row.pk), later)
    assert (
        office.post(url("delivery_cancel", row.pk), {"reason": ""}).status_code == 422
    )
    office.post(url("delivery_cancel", row.pk), {"reason": "Wrong colour"})
    row.refresh_from_db()
    assert (row.due_on, row.sequence) == (date(2026, 8, 6), 2)
    assert row.cancelled_at is not None


def test_what_no_load_brings_yet_is_proposed(office, job, delivery, bom):
    page = text(office.get(url("delivery_add", job.pk)))
    assert f'name="line_{bom["post"].pk}" value="3"' in page
    assert f'name="line_{bom["sheet"].pk}" value="' not in page


def check_in_data(delivery, **changed):
    """A sheet load of which nine are good, and a gutter that is here."""
    sheet, gutter = delivery.lines.order_by("bom_line__position")
    plain = {
        "client_uid": str(uuid4()),
        f"left_{sheet.pk}": "12",
        f"came_{sheet.pk}": "some",
        f"good_{sheet.pk}": "9",
        f"damaged_{sheet.pk}": "3",
        f"note_{sheet.pk}": "Bent",
        f"left_{gutter.pk}": "1",
        f"came_{gutter.pk}": "all",
    }
    return {**plain, **{f"{what}_{sheet.pk}": value for what, value in changed.items()}}


def test_a_load_is_checked_in_on_a_phone_once(client, delivery, sal):
    client.force_login(sal)
    form = check_in_data(delivery)
    for _ in range(2):
        answer = client.post(url("delivery_receive", delivery.pk), form)
        assert answer.status_code == 302
    assert Receipt.objects.count() == 1
    page = text(client.get(url("delivery_detail", delivery.pk)))
    assert "1 line is not complete: the tasks that need it wait." in page
    assert "Came short" in page
    assert "Bent" in page


def test_more_than_was_ordered_may_come_and_some_be_wanted_still(client, delivery, sal):
    client.force_login(sal)
    form = check_in_data(delivery, good="11", damaged="3")
    client.post(url("delivery_receive", delivery.pk), form)
    page = text(client.get(url("delivery_detail", delivery.pk)))
    assert "1 still to come" in page
    assert "1 missing" not in page


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("-1", "Good – sheets: a count cannot be below 0."),
        ("some", "Good – sheets: type a number with figures only, such as 4."),
        ("9999999", "Good – sheets: a count cannot be above 1000000."),
    ],
)
def test_a_wrong_count_names_its_line(client, delivery, sal, typed, says):
    client.force_login(sal)
    form = check_in_data(delivery, good=typed)
    answer = client.post(url("delivery_receive", delivery.pk), form)
    assert answer.status_code == 422
    assert says in text(answer)
    assert not Receipt.objects.exists()


def test_another_count_from_the_same_page_is_asked_about(client, delivery, sal):
    client.force_login(sal)
    form = check_in_data(delivery)
    client.post(url("delivery_receive", delivery.pk), form)
    more = {**form, **check_in_data(delivery, good="12", damaged="0")}
    more["client_uid"] = form["client_uid"]
    answer = client.post(url("delivery_receive", delivery.pk), more)
    assert answer.status_code == 422
    assert "This page was sent before" in text(answer)
    assert form["client_uid"] not in text(answer)
    assert Receipt.objects.count() == 1


def test_a_line_that_nobody_looked_at_is_not_taken_for_here(client, delivery, sal):
    client.force_login(sal)
    answer = client.post(
        url("delivery_receive", delivery.pk), check_in_data(delivery, came="")
    )
    assert answer.status_code == 422
    assert "Say whether it came." in text(answer)
    assert not Receipt.objects.exists()


@pytest.mark.parametrize(
    ("good", "says"),
    [("nine", 'value="nine"'), ("", "How many are good? Type 0 for none.")],
)
def test_a_count_that_is_no_number_comes_back(client, delivery, sal, good, says):
    client.force_login(sal)
    answer = client.post(
        url("delivery_receive", delivery.pk), check_in_data(delivery, good=good)
    )
    assert answer.status_code == 422
    assert says in text(answer)


@pytest.mark.parametrize(("show", "found"), [("open", 1), ("late", 0), ("all", 1)])
def test_the_list_of_deliveries_is_filtered(office, delivery, show, found):
    page = office.get(url("delivery_list"), {"show": show, "q": "1001"})
    assert len(page.context["rows"]) == found
    assert not office.get(url("delivery_list"), {"q": "nothing"}).context["rows"]


def test_a_visit_is_booked_by_hand_after_a_warning(office, job, blue, red, oscar, now):
    _, second = sync_visits(job=job, actor=oscar, at=now)
    publish({(job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm"))}, oscar, now)
    form = {
        "based_on": 1,
        "crew": red.pk,
        "start_on": "2026-08-06",
        "start_half": "am",
    }
    page = office.get(url("visit_book", second.pk))
    assert 'name="based_on" value="1"' in text(page)
    answer = office.post(url("visit_book", second.pk), form)
    assert answer.status_code == 422
    assert "one crew should see it through" in text(answer)
    office.post(url("visit_book", second.pk), {**form, "accept": "on"})
    booking = Booking.objects.get(visit=second)
    page = text(office.get(url("booking_detail", booking.pk)))
    assert "Thu 6 Aug 2026" in page
    office.post(url("booking_pin", booking.pk), {"pinned": "yes"})
    office.post(url("booking_off", booking.pk), {"based_on": 2, "reason": "Client"})
    booking.refresh_from_db()
    assert booking.cancelled_at is not None


def test_a_job_is_cut_from_its_page(office, job, make_job):
    answer = office.post(url("visits_cut", job.pk))
    assert answer.status_code == 302
    assert job.visits.count() == 2
    bare = make_job("Bare", dimensions=False)
    answer = office.post(url("visits_cut", bare.pk))
    *_, message = get_messages(answer.wsgi_request)
    assert "Set the dimensions first" in str(message)


@pytest.mark.parametrize("name", ["draft_ask", "link_make"])
def test_what_changes_something_is_never_a_get(office, name):
    assert office.get(url(name)).status_code == 405
