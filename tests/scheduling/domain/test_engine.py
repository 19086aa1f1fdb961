"""Plans for small firms whose best plan is plain to see."""

from datetime import date

import pytest

from jobs.domain.methods import LagKind
from scheduling.domain.calendar import working_calendar
from scheduling.domain.engine import solve
from scheduling.domain.policy import Leaning, Policy, Term
from scheduling.domain.problem import (
    After,
    Away,
    Pin,
    Plant,
    PlantNeed,
    Published,
    Ready,
    Stop,
    Ticket,
)
from scheduling.domain.solution import Progress
from tests.scheduling.domain.firms import (
    am,
    crew,
    firm,
    job,
    people,
    pm,
    starts,
    visit,
)


def planned(problem, **more):
    return solve(problem, deadline_s=5, step_budget=more.pop("steps", 800), **more)


def test_a_job_starts_at_once_when_nothing_is_in_the_way():
    solution = planned(firm(job(1, visit(10))))
    booking = solution.bookings[0]
    assert (booking.start, booking.last) == (am(3), pm(4))
    assert booking.why == "It starts with the plan."
    assert solution.proven


def test_work_waits_for_the_certificate_and_says_so():
    ready = Ready(am(6), "the engineer's certificate is due back")
    booking = planned(firm(job(1, visit(10), ready=(ready,)))).bookings[0]
    assert booking.start == am(6)
    assert booking.why == "Waits for: the engineer's certificate is due back."


def test_the_sealant_cures_over_the_weekend():
    cure = After(10, 48, why="sealant")
    solution = planned(firm(job(1, visit(10, 10), visit(11, 2, after=(cure,)))))
    assert starts(solution)[11] == am(10)


def test_a_wait_in_working_hours_does_not():
    wait = After(10, 8, LagKind.WORKING)
    solution = planned(firm(job(1, visit(10, 10), visit(11, 2, after=(wait,)))))
    assert starts(solution)[11] == am(11)


def test_one_crew_does_one_thing_at_a_time_the_urgent_one_first():
    late = job(1, visit(10), promised=date(2026, 8, 20))
    soon = job(2, visit(20), promised=date(2026, 8, 4))
    solution = planned(firm(late, soon))
    assert starts(solution) == {20: am(3), 10: am(5)}
    assert solution.score[Term.PROMISED] == 0
    assert solution.bookings[1].why.startswith("crew 1 is on job 2 until Tue 4 Aug")


def test_a_heavier_promise_goes_first_when_both_cannot_be_kept():
    light = job(1, visit(10), promised=date(2026, 8, 4))
    heavy = job(2, visit(20), promised=date(2026, 8, 4), weight=3)
    assert starts(planned(firm(light, heavy)))[20] == am(3)


def test_promises_stand_above_wishes():
    wish = job(1, visit(10), wanted=date(2026, 8, 4), weight=9)
    promise = job(2, visit(20), promised=date(2026, 8, 4))
    assert starts(planned(firm(wish, promise)))[20] == am(3)


def test_a_long_job_is_left_for_a_while_when_another_fits_into_its_cure():
    cure = After(10, 96)
    long = job(1, visit(10, 4), visit(11, 4, after=(cure,)), promised=date(2026, 8, 12))
    short = job(2, visit(20, 6), promised=date(2026, 8, 7))
    solution = planned(firm(long, short))
    assert solution.score[Term.PROMISED] == 0
    assert starts(solution)[20] == am(5)


def test_the_crew_with_the_ticket_is_sent():
    staff = (*people(2), *people(4, tickets=(Ticket("dogging"),))[2:])
    crews = (crew(1, 1, 2), crew(2, 3, 4))
    solution = planned(
        firm(job(1, visit(10, tickets=("dogging",))), staff=staff, crews=crews)
    )
    assert solution.bookings[0].crew == 2


def test_a_ticket_must_last_to_the_end_of_the_visit():
    ends = Ticket("dogging", expires=date(2026, 8, 6))
    ready = Ready(am(6), "approval")
    solution = planned(
        firm(
            job(1, visit(10, tickets=("dogging",)), ready=(ready,)),
            staff=people(2, tickets=(ends,)),
        )
    )
    assert solution.bookings == ()
    assert solution.unplaced[0].reasons == (
        "“visit 10”: Waits for: approval. "
        "Nobody of crew 1 there holds the ticket “dogging”.",
    )


def test_too_small_a_crew_is_said():
    solution = planned(firm(job(1, visit(10, {4: 2}))))
    assert "It takes 4 people" in solution.unplaced[0].reasons[0]


def test_a_bigger_crew_is_faster():
    crews = (crew(1, 1, 2), crew(2, 2, 3, 4))
    booking = planned(firm(job(1, visit(10, {2: 6, 3: 4})), crews=crews)).bookings[0]
    by_crew = {1: 6, 2: 4}
    assert booking.halves == by_crew[booking.crew]


def test_somebody_away_makes_the_visit_longer():
    ill = people(3)[2:][0]
    ill = type(ill)(3, "person 3", away=(Away(am(3), pm(3), "ill"),))
    staff = (*people(2), ill)
    booking = planned(
        firm(job(1, visit(10, {2: 8, 3: 4})), staff=staff, crews=(crew(1, 1, 2, 3),))
    ).bookings[0]
    # Two half-days at an eighth, then three at a quarter.
    assert (booking.start, booking.halves) == (am(3), 5)


def test_a_crew_away_is_waited_for_or_worked_around():
    gone = crew(1, 1, 2, away=(Away(am(4), pm(5), "training"),))
    booking = planned(firm(job(1, visit(10)), crews=(gone,))).bookings[0]
    assert booking.start == am(6)
    assert booking.why == "crew 1 is away (training)."


def test_a_rainy_day_stops_the_roof_but_not_the_booking():
    stop = Stop(am(4), pm(4), "rain")
    problem = firm(job(1, visit(10, stops_in_rain=True)), stops=(stop,))
    booking = planned(problem).bookings[0]
    assert (booking.start, booking.last, booking.halves) == (am(3), pm(5), 6)


def test_the_season_makes_outdoor_work_longer():
    problem = firm(job(1, visit(10, stops_in_rain=True)), rain_percent=(25,) * 12)
    assert planned(problem).bookings[0].halves == 5


def test_a_roof_is_not_opened_while_rain_is_forecast():
    wet = Away(am(3), am(4), "rain is forecast")
    booking = planned(firm(job(1, visit(10, not_begun=(wet,))))).bookings[0]
    assert booking.start == pm(4)
    assert booking.why == "Not begun then: rain is forecast."


def test_shared_plant_is_lent_to_one_site_at_a_time():
    need = (PlantNeed(1),)
    crews = (crew(1, 1, 2), crew(2, 3, 4))
    solution = planned(
        firm(
            job(1, visit(10, plant=need)),
            job(2, visit(20, plant=need)),
            crews=crews,
            plant=(Plant(1, "trestles", 1),),
        )
    )
    assert sorted(starts(solution).values()) == [am(3), am(5)]
    assert {booking.crew for booking in solution.bookings} <= {1, 2}


def test_crews_that_share_a_person_never_work_at_once():
    crews = (crew(1, 1, 2), crew(2, 2, 3))
    pins = (Pin(10, crew=1), Pin(20, crew=2))
    solution = planned(
        firm(job(1, visit(10)), job(2, visit(20)), crews=crews, pins=pins)
    )
    assert sorted(starts(solution).values()) == [am(3), am(5)]


def test_a_pin_is_respected_and_others_move_around_it():
    solution = planned(
        firm(job(1, visit(10)), job(2, visit(20)), pins=(Pin(20, 1, am(4)),))
    )
    assert starts(solution) == {10: am(6), 20: am(4)}


def test_a_pin_that_breaks_a_rule_leaves_the_job_out_with_the_reason():
    ready = Ready(am(10), "the sheets are due")
    solution = planned(
        firm(job(1, visit(10, ready=(ready,))), pins=(Pin(10, 1, am(4)),))
    )
    assert solution.unplaced[0].reasons == (
        "“visit 10”: Waits for: the sheets are due. "
        "It is pinned to Tue 4 Aug 2026, morning.",
    )


def test_a_visit_of_another_trade_needs_no_crew():
    wired = visit(11, 1, needs_crew=False, after=(After(10),))
    solution = planned(firm(job(1, visit(10), wired, visit(12, after=(After(11),)))))
    assert solution.by_visit()[11].crew is None
    assert starts(solution) == {10: am(3), 11: am(5), 12: pm(5)}


def test_a_job_may_be_shared_where_that_is_allowed():
    crews = (crew(1, 1, 2), crew(2, 3, 4, away=(Away(am(3), pm(7), "away"),)))
    pins = (Pin(10, crew=1), Pin(11, crew=2))
    shared = job(1, visit(10), visit(11, after=(After(10),)), one_crew=False)
    solution = planned(firm(shared, crews=crews, pins=pins))
    assert starts(solution) == {10: am(3), 11: am(10)}


def test_the_nearer_crew_goes_when_dates_allow():
    crews = (crew(1, 1, 2), crew(2, 3, 4))
    far = {(1, 1): 90, (2, 1): 15}
    solution = planned(firm(job(1, visit(10)), crews=crews, travel_min=far))
    assert solution.bookings[0].crew == 2
    assert solution.score[Term.TRAVEL] == 30


def test_what_is_published_stays_when_nothing_is_gained():
    published = (Published(10, 1, am(6)),)
    problem = firm(job(1, visit(10)), published=published)
    booking = planned(problem).bookings[0]
    assert booking.start == am(6)
    assert booking.why == "It stays where it was published."


def test_a_promise_moves_what_is_published():
    published = (Published(10, 1, am(6)),)
    problem = firm(job(1, visit(10), promised=date(2026, 8, 5)), published=published)
    assert starts(planned(problem))[10] <= am(4)


@pytest.mark.parametrize(
    ("leaning", "moved"), [(Leaning.CALM, False), (Leaning.DATES, True)]
)
def test_the_firm_decides_whether_wishes_move_the_plan(leaning, moved):
    published = (Published(10, 1, am(6)),)
    problem = firm(job(1, visit(10), wanted=date(2026, 8, 5)), published=published)
    solution = planned(problem, policy=Policy.leaning(leaning))
    assert (starts(solution)[10] != am(6)) == moved


def test_a_tentative_job_is_marked_in_the_plan():
    solution = planned(firm(job(1, visit(10), tentative=True)))
    assert solution.bookings[0].tentative


def test_a_job_released_after_the_calendar_is_left_out():
    ready = Ready(am(1, month=12), "council approval")
    solution = planned(firm(job(1, visit(10), ready=(ready,)), job(2, visit(20))))
    assert [row.job for row in solution.unplaced] == [1]
    assert "council approval" in solution.unplaced[0].reasons[0]
    assert solution.score[Term.UNPLACED] == 1


def test_too_much_work_for_the_calendar_is_left_out_not_squeezed_in():
    short = working_calendar(date(2026, 8, 3), date(2026, 8, 7))
    jobs = [job(n, visit(10 * n, 6)) for n in (1, 2)]
    solution = planned(firm(*jobs, calendar=short))
    assert len(solution.bookings) == 1
    assert "is on job" in solution.unplaced[0].reasons[0]
    assert "The calendar ends on Fri 7 Aug 2026" in solution.unplaced[0].reasons[0]


def test_an_empty_firm_has_an_empty_plan():
    solution = planned(firm())
    assert solution.bookings == ()
    assert solution.proven


def test_records_that_contradict_each_other_are_refused():
    with pytest.raises(ValueError, match="visit 10 is given twice"):
        planned(firm(job(1, visit(10)), job(2, visit(10))))
    with pytest.raises(ValueError, match="there is no plant 7"):
        planned(firm(job(1, visit(10, plant=(PlantNeed(7),)))))
    with pytest.raises(ValueError, match="not before it"):
        planned(firm(job(1, visit(10, after=(After(11),)), visit(11))))


def test_progress_is_told_and_the_end_can_be_asked_for():
    told: list[Progress] = []
    solution = solve(
        firm(*(job(n, visit(10 * n)) for n in range(1, 4))),
        deadline_s=5,
        step_budget=10_000_000,
        progress=told.append,
        should_stop=lambda: len(told) > 0,
    )
    assert len(solution.bookings) == 3
    assert told[0].phase == "first plan"
    assert told[0].cost >= solution.cost
