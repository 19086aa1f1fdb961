"""A real worker over the real queue: once after commit, once when told twice, and killed.

The worker is the process that ``serve`` starts, in an installation of its own.
"""

import pytest

from config.processes import worker_command
from tests.installation import installed, wait_until

LAST_RUN = "SELECT {} FROM jobs_backgroundrun ORDER BY asked_at DESC LIMIT 1"
ASKING = """
from celery import current_app
from django.db import transaction
from django.utils import timezone
from jobs.models import BackgroundRun, Person
from safety.models import Statement
from safety.services.papers import ask_for_paper
from scheduling.models import Draft
from scheduling.services.drafts import ask_for_draft

def waiting():
    with current_app.connection_for_read() as queue:
        return queue.default_channel._size("celery")

office, now = Person.objects.get(name="Oscar Office"), timezone.now()
"""
ASK_FOR_DRAFT = """
with transaction.atomic():
    draft = ask_for_draft(actor=office, at=now)
    before = waiting()
print(json.dumps([before, waiting()]))
"""
THINK_BETTER_OF_IT = """
with transaction.atomic():
    ask_for_draft(actor=office, at=now)
    transaction.set_rollback(True)
print(json.dumps(waiting()))
"""
SEND_AGAIN = """
run = BackgroundRun.objects.latest("asked_at")
more = {{"run_id": str(run.pk), {more}}}
current_app.send_task(run.task, kwargs=more)
"""
ASK_FOR_PAPER = """
ask_for_paper(statement=Statement.objects.get(state="reviewed"), actor=office, at=now)
"""


@pytest.fixture(scope="module")
def office(tmp_path_factory):
    """A firm with jobs and statements, and an empty queue."""
    with installed(tmp_path_factory.mktemp("worker")) as place:
        place.prepare()
        place.python(
            "from tests.world import make_world\n"
            "from celery import current_app\n"
            "make_world()\n"
            "current_app.control.purge()\n"
        )
        yield place


@pytest.fixture(scope="module")
def worker(office):
    """One worker at most, that a test may start and kill."""
    one = Worker(office)
    yield one
    one.is_killed()


class Worker:
    """The worker of an installation, there or not."""

    def __init__(self, place):
        self.place, self.process = place, None

    def is_there(self):
        if self.process is None:
            self.process = self.place.start(worker_command(processes=1), "worker")

    def is_killed(self):
        if self.process is not None:
            self.place.kill(self.process)
            self.process = None


def last_run(place, columns):
    (row,) = place.rows(LAST_RUN.format(columns))
    return row


def until(place, state):
    """Wait until the last run is in that state."""
    wait_until(
        lambda: last_run(place, "state") == (state,),
        or_else=lambda: f"{last_run(place, 'state, says')} {place.said('worker')}",
    )


def test_work_is_sent_after_commit_and_done(office, worker):
    worker.is_killed()
    assert office.python(ASKING + THINK_BETTER_OF_IT) == 0
    assert office.python(ASKING + ASK_FOR_DRAFT) == [0, 1]
    worker.is_there()
    until(office, "done")
    assert last_run(office, "fraction, says") == (1.0, "The draft is ready.")
    assert office.rows("SELECT count(*) FROM scheduling_draftbooking")[0][0] > 0


def test_told_twice_it_works_once(office, worker):
    worker.is_there()
    office.python(ASKING + ASK_FOR_DRAFT)
    until(office, "done")
    once = last_run(office, "started_at, ended_at, id")
    draft = office.rows("SELECT max(id) FROM scheduling_draft")[0][0]
    office.python(
        ASKING + SEND_AGAIN.format(more=f'"draft_id": {draft}') + ASK_FOR_DRAFT
    )
    until(office, "done")  # what was asked last, so the one sent again is over too
    every = office.rows("SELECT started_at, ended_at, id FROM jobs_backgroundrun")
    assert once in every


def test_what_a_killed_worker_leaves_is_taken_up_again(office, worker):
    papers = "SELECT count(*) FROM jobs_renderedfile"
    ((before,),) = office.rows(papers)
    worker.is_there()
    office.python(ASKING + ASK_FOR_PAPER)
    wait_until(lambda: last_run(office, "fraction") >= (0.3,))  # laying out the pages
    worker.is_killed()
    assert last_run(office, "state") == ("running",)
    assert office.rows(papers) == [(before,)]
    statement = office.rows("SELECT id FROM safety_statement WHERE state = 'reviewed'")
    office.python(ASKING + SEND_AGAIN.format(more=f'"statement_id": {statement[0][0]}'))
    worker.is_there()
    until(office, "done")
    assert office.rows(papers) == [(before + 1,)]
    office.python(ASKING + ASK_FOR_PAPER)
    until(office, "done")
    assert office.rows(papers) == [(before + 1,)]  # asked for anew, found
