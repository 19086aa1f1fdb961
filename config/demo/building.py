"""What the demo's crews do: sign on, check the day, work through a visit, measure."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import partial
from random import Random
from typing import Any
from uuid import uuid4

from config.demo.days import WorkingDays
from config.demo.people import Firmament
from config.demo.scenario import Step
from jobs.domain.refusals import Refused
from jobs.models import Job, Person, Task
from jobs.queries.facts import current_take_off
from jobs.queries.firm import the_firm
from jobs.queries.rates import hours_rows
from jobs.services.jobs import close_job
from jobs.services.rates import record_hours
from safety.domain.measuring import kind_of, readings
from safety.models import CheckAnswer, DailyCheck, StopWork
from safety.queries.days_work import days_work
from safety.queries.hold_points import spec_of
from safety.queries.set_out import expected_at
from safety.queries.site_day import questions_about
from safety.queries.staleness import out_of_date
from safety.queries.statements import issued_at
from safety.services.checks import Answered, Weather, make_check
from safety.services.consultation import note_consultation
from safety.services.measurements import measure_hold_point
from safety.services.sign_on import sign_on
from safety.services.stop_work import release_work, stop_work
from safety.services.work import finish_task, start_task, start_work
from scheduling.domain.calendar import Half, Slot
from scheduling.models import Booking, Crew, PlanHead, Visit
from scheduling.services.bookings import book_visit
from scheduling.services.forecasts import record_forecasts
from scheduling.services.visits import sync_visits

Later = Callable[[datetime, Callable[[datetime], None]], None]


@dataclass(slots=True)
class Builder:
    """The crews' part of the stories. ``later`` puts what follows in the queue."""

    firm: Firmament
    days: WorkingDays
    told: Mapping[str, Mapping[str, Any]]
    jobs: Mapping[str, Job]
    later: Later
    issue: Callable[[Step, datetime], None]  # the office's part: a new version
    stopped: set[str] = field(default_factory=set)  # jobs whose work waits

    def sign(self, step: Step, at: datetime) -> None:
        """Everybody of the crew signs the issued statement."""
        job = self.jobs[step.job]
        statement = issued_at([job], at).get(job.pk)
        if statement is None:
            raise ValueError(f"{step.job}: nothing issued to sign")
        lead = job.site_lead or self.firm.office
        for person in self._crew_people(step):
            sign_on(
                statement=statement,
                person=person,
                typed_name=person.name,
                actor=person if person.email else lead,
                at=at,
                device_at=at,
                client_uid=uuid4(),
            )

    def book(self, step: Step, at: datetime) -> None:
        """Put one visit on the plan by hand."""
        self._book(step, step.details["visit"], self.days.day(step.day), at)

    def check(self, step: Step, at: datetime) -> None:
        """One daily check with the outcome that the story tells."""
        details = step.details
        self._check(
            self.jobs[step.job],
            self._crew_people(step),
            DailyCheck.Outcome(details["outcome"]),
            Weather(wind_gust_ms=details.get("gust_ms"), temperature_c=19),
            details.get("note", ""),
            at,
        )

    def talk(self, step: Step, at: datetime) -> None:
        """The site lead asks the crew about the issued statement and notes it."""
        job, details = self.jobs[step.job], step.details
        statement = issued_at([job], at).get(job.pk)
        if statement is None:
            raise ValueError(f"{step.job}: nothing issued to ask about")
        note_consultation(
            statement=statement,
            held_on=at.astimezone(self.days.zone).date(),
            who=details["who"],
            said=details["said"],
            came_of_it=details["came_of_it"],
            actor=self._lead(job),
            at=at,
            client_uid=uuid4(),
        )

    def stop(self, step: Step, at: datetime) -> None:
        """Somebody on site stops all work."""
        stop_work(
            job=self.jobs[step.job],
            kind=StopWork.Kind(step.details["kind"]),
            what=step.details["what"],
            actor=self.firm.people[step.details["by"]],
            at=at,
            device_at=at,
            client_uid=uuid4(),
        )

    def release(self, step: Step, at: datetime) -> None:
        """The office lets work go on again, with what was found."""
        job = self.jobs[step.job]
        release_work(
            stop=StopWork.objects.get(job=job, released_at=None),
            found=step.details["found"],
            statement_says=StopWork.Statement.FITS,
            actor=self.firm.office,
            at=at,
        )

    def build(self, step: Step, at: datetime) -> None:
        """Book and work the visits, one after another, from ``step.day`` on."""
        self._next_visit(step, 1, self.days.day(step.day), at)

    def _next_visit(self, step: Step, ordinal: int, day: date, at: datetime) -> None:
        booking = self._book(step, ordinal, day, at)
        if ordinal == 1 and step.details.get("sign"):
            self.later(self.days.at(day, "06:45"), partial(self.sign, step))
        tasks = list(booking.visit.tasks.order_by("position"))
        work = self._shares(booking, tasks)
        for number, (worked_on, share) in enumerate(work, start=1):
            last = ordinal if number == len(work) else None
            self.later(
                self.days.at(worked_on, "07:05"),
                partial(self._day, step, share, last),
            )

    def _shares(
        self, booking: Booking, tasks: list[Task]
    ) -> list[tuple[date, list[Task]]]:
        """The tasks of a visit, spread evenly over its days."""
        days = sorted({slot.day for slot in booking.crew_slots.all()})
        per_day = -(-len(tasks) // len(days))
        return [
            (day, tasks[i * per_day : (i + 1) * per_day]) for i, day in enumerate(days)
        ]

    def _book(self, step: Step, ordinal: int, day: date, at: datetime) -> Booking:
        job, crew = self.jobs[step.job], self._crew(step)
        visits = sync_visits(job=job, actor=self.firm.office, at=at)
        visit = next(v for v in visits if v.ordinal == ordinal)
        booking = book_visit(
            visit=visit,
            crew=crew,
            start=Slot(day, Half.AM),
            accept=True,  # the office may book against advice, and it shows
            actor=self.firm.office,
            at=at,
        )
        if ordinal == 1:  # the worker would, but it is not there yet
            record_forecasts(plan_number=PlanHead.objects.get().number, at=at)
        return booking

    def _day(
        self, step: Step, tasks: list[Task], last: int | None, at: datetime
    ) -> None:
        """Check, start, and do the day's share of tasks."""
        if step.job in self.stopped:
            return
        job, people = self.jobs[step.job], self._crew_people(step)
        self._keep_statement_fitting(step, at)
        calm = Weather(wind_gust_ms=4.0, temperature_c=19)
        try:
            self._check(job, people, DailyCheck.Outcome.GO, calm, "", at)
        except Refused:  # they start all the same: recorded, and a breach
            self._start_work(job, people, at)
        gap = timedelta(minutes=420 / max(len(tasks), 1))
        for number, task in enumerate(tasks):
            begin = at + timedelta(minutes=25) + number * gap
            self.later(begin, partial(self._start, step, task))
            self.later(begin + gap * 0.9, partial(self._finish, step, task))
        if last is not None:
            done = at + timedelta(minutes=30) + len(tasks) * gap
            self.later(done, partial(self._after_visit, step, last))

    def _keep_statement_fitting(self, step: Step, at: datetime) -> None:
        """A new season or law may ask for a new version; then everybody signs again."""
        job, early = self.jobs[step.job], at - timedelta(minutes=30)
        issued = issued_at([job], early)
        if out_of_date(issued, early, the_firm()):
            self.issue(step, early)
            self.sign(step, at - timedelta(minutes=15))

    def _start_work(self, job: Job, people: list[Person], at: datetime) -> None:
        start_work(
            job=job,
            people=people,
            actor=self._lead(job),
            at=at,
            device_at=at,
            client_uid=uuid4(),
        )

    def _start(self, step: Step, task: Task, at: datetime) -> None:
        if step.job not in self.stopped:
            row = Task.objects.select_related("job").get(pk=task.pk)
            start_task(task=row, actor=self._lead(row.job), at=at, device_at=at)

    def _finish(self, step: Step, task: Task, at: datetime) -> None:
        if step.job in self.stopped:
            return
        row = Task.objects.select_related("job__site").get(pk=task.pk)
        spec = spec_of(row)
        out_by = step.details.get("diagonals_out_mm", 0)
        if spec is not None and spec.measure == "diagonals" and out_by:
            self._measure(row, at, off_by=out_by, note=step.details.get("note", ""))
            self.stopped.add(step.job)
            return
        if spec is not None:
            self._measure(row, at, off_by=2, note="")
        finish_task(task=row, actor=self._lead(row.job), at=at, device_at=at)

    def _measure(self, task: Task, at: datetime, *, off_by: float, note: str) -> None:
        """Read a hold point off the take-off's own figures, out by a little."""
        spec = spec_of(task)
        if spec is None:
            return
        expected = expected_at(task, spec)
        by_key = {f"{item.key}_mm": item.mm for item in expected}
        values = {
            reading.name: by_key.get(reading.name, by_key.get("diagonal_mm", 1.0))
            for reading in readings(kind_of(spec), expected)
        }
        if "diagonal_b_mm" in values:
            values["diagonal_b_mm"] += off_by
        measure_hold_point(
            task=task,
            values={name: round(value) for name, value in values.items()},
            looks_right=True,
            note=note,
            actor=self._lead(task.job),
            at=at,
            device_at=at,
            client_uid=uuid4(),
        )

    def _check(
        self,
        job: Job,
        people: list[Person],
        outcome: DailyCheck.Outcome,
        weather: Weather,
        note: str,
        at: datetime,
    ) -> None:
        day = at.astimezone(self.days.zone).date()
        tasks = days_work(job, day, at).today
        asked = questions_about(issued_at([job], at).get(job.pk), tasks)
        yes = Answered(CheckAnswer.Answer.YES)
        make_check(
            job=job,
            outcome=outcome,
            answers={question.key: yes for question in asked},
            weather=weather,
            note=note,
            here=people,
            tasks=tasks,
            actor=self._lead(job),
            at=at,
            device_at=at,
            client_uid=uuid4(),
        )

    def _after_visit(self, step: Step, ordinal: int, at: datetime) -> None:
        """Book what comes next, or hand the job over."""
        if step.job in self.stopped or ordinal == step.details.get("visits"):
            return
        job = self.jobs[step.job]
        self._hours_come_back(job, at)
        following = Visit.objects.filter(
            job=job, ordinal=ordinal + 1, dropped_at__isnull=True
        ).first()
        if following is None:
            close_job(
                job=job,
                how=Job.Closed.HANDED_OVER,
                note="Papers handed over.",
                reason="The client has seen what is left and takes it as it is.",
                actor=self.firm.office,
                at=at,
            )
            return
        waits = [link["lag_hours"] for link in following.links]
        day = self.days.from_moment(at + timedelta(hours=max(12, *waits, 0)))
        if following.trade:
            self._trade_comes(step, following, day)
        else:
            self._next_visit(step, ordinal + 1, day, at)

    def _hours_come_back(self, job: Job, at: datetime) -> None:
        """The lead says what the tasks took, each kind a little off its rate."""
        take_off = current_take_off(job)
        rows = hours_rows(job, take_off) if take_off else []
        minutes: dict[int, int | None] = {
            row.task.pk: round(row.estimated_minutes * _slower(job, row.task))
            for row in rows
            if row.task.actual_minutes is None and row.estimated_minutes > 0
        }
        record_hours(job=job, minutes=minutes, actor=self._lead(job), at=at)

    def _trade_comes(self, step: Step, visit: Visit, day: date) -> None:
        """A licensed trade does its own visit; the lead ticks the tasks off."""
        for task in visit.tasks.all():
            self.later(self.days.at(day, "09:00"), partial(self._start, step, task))
            self.later(self.days.at(day, "12:00"), partial(self._finish, step, task))
        done = partial(self._after_visit, step, visit.ordinal)
        self.later(self.days.at(day, "12:30"), done)

    def _lead(self, job: Job) -> Person:
        return job.site_lead or self.firm.office

    def _crew(self, step: Step) -> Crew:
        return self.firm.crews[self.told[step.job]["crew"]]

    def _crew_people(self, step: Step) -> list[Person]:
        day_places = self._crew(step).members.select_related("person")
        return [place.person for place in day_places]


def _slower(job: Job, task: Task) -> float:
    """Hours a task took over those of its rate; the same in every demo."""
    usual = Random(task.kind).uniform(0.9, 1.4)  # noqa: S311 - invented, no secret
    luck = Random(f"{job.number} {task.key}")  # noqa: S311 - invented, no secret
    return usual * luck.lognormvariate(0, 0.15)
