"""Background work of the scheduling app. The only module that loads the solver."""

from contextlib import suppress
from time import monotonic

from celery import shared_task
from django.urls import reverse
from django.utils import timezone

from jobs.background import Reporter, Stopped, reporting
from scheduling.domain.cpsat.solve import solve
from scheduling.domain.problem import Problem
from scheduling.domain.solution import OnProgress, Progress, ShouldStop, Solution
from scheduling.queries.drafts import Recipe, recipe_of
from scheduling.services.drafts import catch_up, fail_draft, fill_draft
from scheduling.services.forecasts import record_forecasts
from scheduling.services.invitations import send_invitation, settle_invitations

FEW_JOBS = 60
SECONDS_FOR_FEW = 10.0  # how long a draft is worked on
SECONDS_FOR_MANY = 30.0
SECONDS_TO_MEND = 4.0  # whoever calls because it rains does not wait for the best plan
LOOK_EVERY_S = 0.5  # how often a running solve looks whether somebody stopped it


@shared_task(name="scheduling.tasks.make_draft")
def make_draft(run_id: str, draft_id: int) -> None:
    """Work out a draft of the plan. Delivered twice it is made once."""
    with suppress(Stopped), reporting(run_id) as report:
        try:
            watch = Watch(report, recipe_of(draft_id))
            fill_draft(
                draft_id=draft_id,
                solve=watch.solve,
                on_progress=watch.tell,
                should_stop=watch.is_stopped,
                at=timezone.now(),
            )
        except Exception:
            fail_draft(draft_id=draft_id, at=timezone.now())
            raise
        url = reverse("scheduling:draft_detail", args=[draft_id])
        report.finish(says="The draft is ready.", url=url)
    catch_up(at=timezone.now())


@shared_task(name="scheduling.tasks.keep_forecasts")
def keep_forecasts(plan_number: int) -> None:
    """Keep what is forecast now that a plan is published. Delivered twice, kept once."""
    record_forecasts(plan_number=plan_number, at=timezone.now())


@shared_task(name="scheduling.tasks.tell_people")
def tell_people() -> None:
    """Invite people to bookings that changed. Told twice, nothing changes the second time."""
    settle_invitations(at=timezone.now())


@shared_task(name="scheduling.tasks.send_invitation")
def mail_invitation(invitation_id: int, sequence: int) -> None:
    """Mail one state of one invitation. Told twice it goes out once."""
    send_invitation(invitation_id=invitation_id, sequence=sequence)


class Watch:
    """Carries progress to the page, and the wish to stop back to the solve.

    Stopping is no failure here: the best plan so far becomes the draft.
    """

    def __init__(self, report: Reporter, recipe: Recipe) -> None:
        self.report = report
        self.recipe = recipe
        self.seconds = SECONDS_FOR_FEW
        self.stopped = False
        self.looked = 0.0

    def solve(
        self,
        problem: Problem,
        seed: int,
        on_progress: OnProgress,
        should_stop: ShouldStop,
    ) -> Solution:
        """The engine's answer within the time that this many jobs may take."""
        self.seconds = self._time_for(len(problem.jobs))
        return solve(
            problem,
            policy=self.recipe.policy,
            seed=seed,
            deadline_s=self.seconds,
            progress=on_progress,
            should_stop=should_stop,
        )

    def _time_for(self, jobs: int) -> float:
        if self.recipe.mends:
            return SECONDS_TO_MEND
        return SECONDS_FOR_FEW if jobs <= FEW_JOBS else SECONDS_FOR_MANY

    def tell(self, progress: Progress) -> None:
        """Say how far the solve is; the time it may take is the measure."""
        fraction = min(progress.seconds / self.seconds, 0.99)
        with suppress(Stopped):
            self.report(fraction, f"{progress.phase.capitalize()} …")

    def is_stopped(self) -> bool:
        """Whether somebody asked for a stop, looked up now and then."""
        now = monotonic()
        if not self.stopped and now - self.looked >= LOOK_EVERY_S:
            self.looked = now
            self.stopped = self.report.stop_asked()
        return self.stopped
