"""Order, change, cancel and check in deliveries."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from jobs.domain.refusals import Refused, SentBefore, Stale
from jobs.models import LedgerEntry
from scheduling.models import Receipt
from scheduling.services.deliveries import (
    cancel_delivery,
    change_delivery,
    order_delivery,
)
from scheduling.services.receipts import Counted, check_in
from tests.scheduling.plans import publish, slot


def count(delivery, person, now, uid=None, **amounts):
    lines = {line.bom_line.part: line.pk for line in delivery.lines.all()}
    return check_in(
        delivery=delivery,
        client_uid=uid or uuid4(),
        device_at=now - timedelta(minutes=5),
        counted={lines[part]: amount for part, amount in amounts.items()},
        actor=person,
        at=now,
    )


def test_a_delivery_is_ordered_from_lines_of_the_job(delivery):
    assert {line.bom_line.part: line.ordered for line in delivery.lines.all()} == {
        "sheet": 12,
        "gutter": 1,
    }
    entry = LedgerEntry.objects.get(verb="schedule:delivery:ordered")
    assert entry.chain == delivery.job.chain


def test_a_load_brings_something_of_its_own_job(make_job, bom, supplier, oscar, now):
    other = make_job("Carport")
    for amounts, says in (({}, "at least one"), ({bom["post"].pk: 1}, "own job")):
        with pytest.raises(Refused, match=says):
            order_delivery(
                job=other,
                values={"supplier": supplier},
                amounts=amounts,
                actor=oscar,
                at=now,
            )


def test_only_a_new_day_reaches_calendars(delivery, oscar, now):
    later = now + timedelta(hours=1)
    values = {"reference": "D-1"}
    same = change_delivery(
        delivery=delivery, version=1, values=values, actor=oscar, at=later
    )
    assert (same.sequence, same.changed_at) == (0, now)
    moved = change_delivery(
        delivery=delivery,
        version=2,
        values={"due_on": date(2026, 8, 6)},
        actor=oscar,
        at=later,
    )
    assert (moved.sequence, moved.changed_at) == (1, later)


def test_two_people_changing_the_lines_notice_each_other(delivery, bom, oscar, now):
    change = {"delivery": delivery, "values": {}, "actor": oscar, "at": now}
    change_delivery(version=1, amounts={bom["sheet"].pk: 10}, **change)
    with pytest.raises(Stale):
        change_delivery(version=1, amounts={bom["sheet"].pk: 11}, **change)


def test_a_cancelled_delivery_stays_cancelled(delivery, oscar, now):
    cancel_delivery(delivery=delivery, reason="Wrong colour", actor=oscar, at=now)
    delivery.refresh_from_db()
    assert (delivery.sequence, delivery.cancelled_at) == (1, now)
    with pytest.raises(Refused, match="was cancelled"):
        change_delivery(delivery=delivery, version=1, values={}, actor=oscar, at=now)
    with pytest.raises(Refused, match="was cancelled"):
        count(delivery, oscar, now, sheet=Counted(1))


def test_a_count_sent_twice_is_kept_once(delivery, sal, now):
    uid = uuid4()
    first = count(delivery, sal, now, uid, sheet=Counted(9, damaged=3))
    late = now + timedelta(hours=1)
    again = count(delivery, sal, late, uid, sheet=Counted(9, damaged=3))
    assert again == first
    assert Receipt.objects.count() == 1
    assert LedgerEntry.objects.filter(verb="schedule:delivery:checked-in").count() == 1


def test_another_count_under_the_same_id_is_neither_dropped_nor_added(
    delivery, sal, now
):
    uid = uuid4()
    count(delivery, sal, now, uid, sheet=Counted(9, damaged=3))
    with pytest.raises(SentBefore, match="a count by Sal Lead"):
        count(delivery, sal, now, uid, sheet=Counted(12))
    assert Receipt.objects.get().lines.get().good == 9


def test_device_and_server_time_stand_side_by_side(delivery, sal, now):
    receipt = count(delivery, sal, now, sheet=Counted(12))
    assert (receipt.device_at, receipt.received_at) == (
        now - timedelta(minutes=5),
        now,
    )


def test_nonsense_counts_are_refused(delivery, sal, now):
    for counted, says in (
        ({}, "at least one"),
        ({0: Counted(1)}, "not on this delivery"),
        ({delivery.lines.first().pk: Counted(-1)}, "below nothing"),
    ):
        with pytest.raises(Refused, match=says):
            check_in(
                delivery=delivery,
                client_uid=uuid4(),
                device_at=now,
                counted=counted,
                actor=sal,
                at=now,
            )


def test_what_was_checked_in_is_not_cancelled_or_rewritten(
    delivery, bom, sal, oscar, now
):
    count(delivery, sal, now, sheet=Counted(12))
    with pytest.raises(Refused, match="checked in"):
        cancel_delivery(delivery=delivery, reason="", actor=oscar, at=now)
    with pytest.raises(Refused, match="checked in"):
        change_delivery(
            delivery=delivery,
            version=1,
            values={},
            amounts={bom["sheet"].pk: 1},
            actor=oscar,
            at=now,
        )


def test_wrong_roles(delivery, job, supplier, bom, sal, cam, now):
    with pytest.raises(PermissionDenied):
        order_delivery(
            job=job,
            values={"supplier": supplier},
            amounts={bom["post"].pk: 1},
            actor=sal,
            at=now,
        )
    with pytest.raises(PermissionDenied):
        count(delivery, cam, now, sheet=Counted(1))


@pytest.mark.parametrize(
    ("who", "listed"), [("oscar", True), ("olive", True), ("kim", False)]
)
def test_the_way_back_is_one_that_the_person_may_go(
    delivery, blue, oscar, now, client, who, listed, request
):
    tuesday = date(2026, 8, 4)
    span = slot(tuesday), slot(tuesday, "pm")
    publish({(delivery.job_id, 1): (blue, *span)}, oscar, now)  # Kim is in Blue
    client.force_login(request.getfixturevalue(who))
    page = client.get(f"/deliveries/{delivery.pk}/")
    back = page.context["crumbs"][0][1]
    assert (back == "/deliveries/") is listed
    assert client.get(back).status_code == 200
