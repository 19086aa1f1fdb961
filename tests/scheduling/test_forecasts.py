"""Forecasts of the firm's own jobs, kept when a plan is published."""

from datetime import UTC, date, datetime, time, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.approvals import Step
from jobs.models import Job
from jobs.services.approvals import record_step
from jobs.services.jobs import close_job
from scheduling.models import Forecast, PlanHead
from scheduling.queries.accuracy import forecast_record
from scheduling.queries.forecasts import job_forecasts
from scheduling.queries.loads_ahead import loads_ahead
from scheduling.queries.lost_days import lost_shares
from scheduling.queries.rain import rain_on
from scheduling.services.deliveries import cancel_delivery, order_delivery
from scheduling.services.forecasts import record_forecasts
from scheduling.services.lost_days import record_lost_day
from scheduling.services.receipts import Counted, check_in
from tests.scheduling.plans import lost_day, publish, slot

TUESDAY, WEDNESDAY, THURSDAY, MONDAY = (date(2026, 8, day) for day in (4, 5, 6, 10))


def book(job, crew, actor, at):
    """Both visits of a job, a week apart."""
    places = {
        (job.pk, 1): (crew, slot(TUESDAY), slot(WEDNESDAY, "pm")),
        (job.pk, 2): (crew, slot(MONDAY), slot(MONDAY, "pm")),
    }
    publish(places, actor, at)


def forecast(job, firm, at):
    return job_forecasts([Job.objects.get(pk=job.pk)], firm, at).get(job.pk)


def work_done(job, at):
    job.tasks.update(started_at=at, done_at=at)


def test_a_booked_job_is_done_on_its_planned_day_or_later(job, firm, blue, oscar, now):
    book(job, blue, oscar, now)
    found = forecast(job, firm, now)
    assert MONDAY <= found.finish.half <= found.finish.most
    assert found.finish.half < MONDAY + timedelta(days=4)
    assert found.unbooked == 0


def test_a_job_without_a_booking_has_no_forecast(job, firm, now):
    assert forecast(job, firm, now) is None


def test_an_approval_that_is_out_moves_the_days(make_job, firm, blue, oscar, now):
    free, held = make_job("Free"), make_job("Held", approved=False)
    for job in (free, held):
        publish({(job.pk, 1): (blue, slot(TUESDAY), slot(TUESDAY, "pm"))}, oscar, now)
    certificate = held.approvals.get(kind__key="engineer")
    record_step(
        approval=certificate,
        step=Step.LODGED,
        happened_on=now.date(),
        actor=oscar,
        at=now,
    )
    publish(
        {
            (free.pk, 1): (blue, slot(TUESDAY), slot(TUESDAY, "pm")),
            (held.pk, 1): (blue, slot(WEDNESDAY), slot(WEDNESDAY, "pm")),
        },
        oscar,
        now,
    )
    without, waiting = forecast(free, firm, now), forecast(held, firm, now)
    assert len(waiting.approvals) == 2
    assert waiting.finish.half > without.finish.half + timedelta(days=7)
    assert waiting.unbooked == 1


def test_a_slip_pushes_the_job_the_crew_does_next(
    make_job, firm, blue, red, oscar, now
):
    held = make_job("Held", approved=False)
    behind, other = make_job("Behind"), make_job("Other")
    thursday = slot(THURSDAY), slot(THURSDAY, "pm")
    places = {(behind.pk, 1): (blue, *thursday), (other.pk, 1): (red, *thursday)}
    publish(places, oscar, now)
    before = {j.pk: forecast(j, firm, now) for j in (behind, other)}
    places[held.pk, 1] = (blue, slot(TUESDAY), slot(WEDNESDAY, "pm"))
    publish(places, oscar, now)
    after = {j.pk: forecast(j, firm, now) for j in (behind, other)}
    week = timedelta(days=7)
    assert after[behind.pk].finish.half > before[behind.pk].finish.half + week
    assert after[other.pk].finish == before[other.pk].finish
    assert [after[j.pk].before for j in (behind, other)] == [1, 0]


def test_alone_or_with_all_others_a_job_has_the_same_forecast(
    make_job, firm, blue, oscar, now
):
    jobs = [make_job(f"Patio {n}") for n in range(3)]
    days = [TUESDAY, WEDNESDAY, THURSDAY]
    places = {
        (job.pk, 1): (blue, slot(day), slot(day, "pm"))
        for job, day in zip(jobs, days, strict=True)
    }
    publish(places, oscar, now)
    together = job_forecasts(jobs, firm, now)
    assert [forecast(j, firm, now).finish for j in jobs] == [
        together[j.pk].finish for j in jobs
    ]
    assert [together[j.pk].before for j in jobs] == [0, 1, 2]


def count_in(delivery, person, at):
    counted = {line.pk: Counted(line.ordered) for line in delivery.lines.all()}
    check_in(
        delivery=delivery,
        client_uid=uuid4(),
        device_at=at,
        counted=counted,
        actor=person,
        at=at,
    )


@pytest.fixture
def order(job, bom, supplier, oscar, now):
    """One more load for the job with all it needs, due on a day."""

    def place(due_on, at=now, ordered_on=None):
        values = {"supplier": supplier, "due_on": due_on, "ordered_on": ordered_on}
        amounts = {line.pk: line.quantity for line in bom.values()}
        return order_delivery(
            job=job, values=values, amounts=amounts, actor=oscar, at=at
        )

    return place


def test_loads_that_came_and_loads_still_out_are_counted(order, firm, job, oscar, now):
    past = now - timedelta(days=60)
    day = past.date() + timedelta(days=10)
    prompt, late, out, off, without = (
        order(due, at=past) for due in (day, day, day, day, None)
    )
    count_in(prompt, oscar, past + timedelta(days=10))
    count_in(late, oscar, past + timedelta(days=30))
    cancel_delivery(
        delivery=off, reason="Not needed", actor=oscar, at=past + timedelta(days=2)
    )
    count_in(without, oscar, past + timedelta(days=12))
    found = loads_ahead([job], firm, now)
    assert (found.came, found.out) == (2, 1)
    assert loads_ahead([job], firm, past + timedelta(days=25)).came == 1
    assert out.pk


def test_a_load_that_may_come_late_moves_the_days(
    make_job, order, job, firm, blue, oscar, now
):
    book(job, blue, oscar, now)
    order(TUESDAY)
    prompt = forecast(job, firm, now)
    past = now - timedelta(days=90)
    other = make_job("Before")
    for _ in range(8):  # each of them three weeks late
        delivery = order(past.date(), at=past)
        type(delivery).objects.filter(pk=delivery.pk).update(job=other)
        delivery.refresh_from_db()
        count_in(delivery, oscar, past + timedelta(days=21))
    late = forecast(job, firm, now)
    assert late.waits_for_loads == prompt.waits_for_loads
    assert late.loads_came == prompt.loads_came + 8
    assert late.finish.half >= prompt.finish.half + timedelta(days=14)


def test_the_promise_is_compared(job, firm, blue, oscar, now):
    book(job, blue, oscar, now)
    Job.objects.filter(pk=job.pk).update(promised_on=MONDAY + timedelta(days=30))
    assert forecast(job, firm, now).chance_of_promise == 10
    Job.objects.filter(pk=job.pk).update(promised_on=TUESDAY)
    assert forecast(job, firm, now).chance_of_promise == 0


def test_days_called_off_raise_the_chance_of_rain(job, firm, oscar, now):
    later = now + timedelta(days=20)
    before = rain_on(firm, later.date()).chances[7]
    for n in range(5):
        day = now.date() + timedelta(days=n)
        lost_day(day, "Rain", oscar, now)
    after = rain_on(firm, later.date())
    assert after.lost_days == 5
    assert after.chances[7] > before
    assert after.chances[0] == rain_on(firm, now.date()).chances[0]


def test_a_day_called_off_for_one_job_counts_for_its_share(
    make_job, firm, blue, red, oscar, now
):
    first, second = make_job("Roof one"), make_job("Roof two")
    places = {
        (job.pk, n): (crew, slot(day), slot(day, "pm"))
        for job, crew in ((first, blue), (second, red))
        for n, day in ((1, TUESDAY), (2, THURSDAY))
    }
    publish(places, oscar, now)
    later = now + timedelta(days=20)

    def lose(day, job):
        return record_lost_day(day=day, job=job, reason="Rain", actor=oscar, at=now)

    def share(day):
        return lost_shares(now.date(), later.date())[day]

    lose(THURSDAY, first)
    assert share(THURSDAY) == 0.5
    half = rain_on(firm, later.date()).chances[7]
    lose(THURSDAY, second)
    assert share(THURSDAY) == 1
    whole = rain_on(firm, later.date()).chances[7]
    # Visits of Tuesday do not stop in rain, so nothing else was there to be lost.
    lose(TUESDAY, first)
    assert share(TUESDAY) == 1
    lost_day(WEDNESDAY, "Rain", oscar, now)
    assert share(WEDNESDAY) == 1
    # By hand: 8 in 100 of 20 days, and 15 working days from 3 to 23 August.
    assert half == pytest.approx((1.6 + 0.5) / 35)
    assert whole == pytest.approx((1.6 + 1) / 35)


def test_publishing_keeps_a_forecast(
    job, blue, oscar, now, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        book(job, blue, oscar, now)
    kept = Forecast.objects.get(job=job)
    assert kept.plan_number == PlanHead.objects.get().number
    assert kept.evidence["unbooked"] == 0
    assert kept.evidence["method"] == 2


def test_told_twice_it_is_kept_once(job, blue, oscar, now):
    book(job, blue, oscar, now)
    number = PlanHead.objects.get().number
    assert record_forecasts(plan_number=number, at=now) == 1
    assert record_forecasts(plan_number=number, at=now) == 0
    assert record_forecasts(plan_number=number - 1, at=now) == 0
    assert Forecast.objects.count() == 1


def test_a_forecast_that_is_the_same_is_not_kept_again(job, blue, oscar, now):
    book(job, blue, oscar, now)
    record_forecasts(plan_number=1, at=now)
    book(job, blue, oscar, now)
    assert PlanHead.objects.get().number == 2
    assert record_forecasts(plan_number=2, at=now) == 0


@pytest.fixture
def kept(job, blue, oscar, now):
    """A job whose forecast was kept."""
    book(job, blue, oscar, now)
    record_forecasts(plan_number=1, at=now)
    return Forecast.objects.get(job=job)


def test_a_job_done_in_time_kept_its_forecast(kept, firm, job, now):
    assert forecast_record(firm, now.date()).accuracy.half.known == 0
    work_done(job, now + timedelta(days=5))
    (row,) = forecast_record(firm, MONDAY).rows
    assert row.judged.done_on == date(2026, 8, 8)
    assert row.kept_half is True


def test_a_job_that_is_late_is_not_left_out(kept, firm):
    record = forecast_record(firm, kept.most_on + timedelta(days=1))
    assert (record.accuracy.most.kept, record.accuracy.most.known) == (0, 1)


def test_a_forecast_made_the_older_way_says_so_and_still_counts(kept, firm):
    (row,) = forecast_record(firm, kept.most_on + timedelta(days=1)).rows
    assert not row.is_older_way
    kept.evidence.pop("method")
    kept.save(update_fields=["evidence"])
    record = forecast_record(firm, kept.most_on + timedelta(days=1))
    assert record.rows[0].is_older_way
    assert record.accuracy.most.known == 1


def test_a_job_called_off_says_nothing(kept, firm, job, oscar, now):
    close_job(job=job, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=now)
    assert forecast_record(firm, date(2027, 1, 1)).rows == ()


def test_many_jobs_cost_no_more_queries(make_job, firm, blue, oscar, now):
    jobs = [make_job(f"Patio {n}") for n in range(5)]
    days = [TUESDAY + timedelta(days=n) for n in (0, 1, 2, 6, 7)]
    counts = set()
    for some in (1, 5):
        places = {
            (job.pk, 1): (blue, slot(day), slot(day, "pm"))
            for job, day in list(zip(jobs, days, strict=True))[:some]
        }
        publish(places, oscar, now)
        with CaptureQueriesContext(connection) as asked:
            assert len(job_forecasts(jobs, firm, now)) == some
        counts.add(len(asked))
    assert len(counts) == 1


def test_the_pages_say_it(kept, job, client, oscar, olive, cam, time_machine, now):
    time_machine.move_to(now, tick=False)
    client.force_login(oscar)
    said = client.get(f"/jobs/{job.pk}/").text
    assert "Half of such jobs are done by" in said
    assert "no hours have come back yet" in said
    assert "No visit of another job comes before it" in said
    client.force_login(olive)
    assert "Nothing to compare yet." in client.get("/plan/forecasts/").text
    client.force_login(cam)
    assert client.get("/plan/forecasts/").status_code == 403


def test_how_good_they_were_is_said_plainly(kept, job, client, olive, time_machine):
    end = datetime(2026, 8, 30, tzinfo=UTC)
    done = datetime.combine(kept.half_on, time(2), UTC)
    work_done(job, done)
    time_machine.move_to(end, tick=False)
    client.force_login(olive)
    said = " ".join(client.get("/plan/forecasts/").text.split())
    assert "A typical job was done on the very day under “Half by”" in said
    assert "When forecasts are right, it is 0 to 1 of 1, nine times in ten." in said
    assert "luck" not in said
