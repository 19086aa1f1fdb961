"""Addresses of the plan, crews, deliveries and calendars."""

from tests.access.words import (
    CREW,
    CREW_OFFICE,
    DAY,
    EVERYBODY,
    JOB,
    JOB_OFFICE,
    JOB_OFFICE_LEAD,
    JOB_SCHEDULE,
    LATER,
    LOG_IN,
    OFFICE,
    OFFICE_KNOWS,
    OFFICE_LEADS,
    OFFICE_OWNER,
    UNBOOKED_OFFICE,
    WHY,
    Row,
    button,
    form,
    sent,
    typed,
)

PLAN = {
    "scheduling:plan": Row(OFFICE_OWNER),
    "scheduling:plan_unfit": Row(OFFICE_OWNER),
    "scheduling:forecast_list": Row(OFFICE_OWNER),
    "scheduling:invitation_wish": button(EVERYBODY),
    "scheduling:plan_choice_edit": form(OFFICE_OWNER, data=typed(leaning="calm")),
    "scheduling:plant_list": Row(OFFICE_OWNER),
    "scheduling:plant_add": form(
        OFFICE, data=typed(tool="ladder", name="Ladders", count=2)
    ),
    "scheduling:plant_edit": form(OFFICE, lambda w: w.plant),
    "scheduling:plant_out": form(
        OFFICE, lambda w: w.plant, data=typed(from_on=DAY, to_on=LATER, count=1, **WHY)
    ),
    "scheduling:plant_back": form(OFFICE, lambda w: w.plant_out),
    "scheduling:draft_ask": button(OFFICE),
    "scheduling:draft_detail": Row(OFFICE_OWNER, about=lambda w: w.draft),
    "scheduling:draft_publish": button(OFFICE, lambda w: w.draft),
    "scheduling:draft_discard": button(OFFICE, lambda w: w.draft),
    "scheduling:booking_detail": Row(JOB, about=lambda w: w.booking),
    "scheduling:booking_pin": button(JOB_OFFICE, lambda w: w.booking),
    "scheduling:booking_off": form(JOB_OFFICE, lambda w: w.booking, data=typed(**WHY)),
    "scheduling:visit_book": form(
        UNBOOKED_OFFICE,
        lambda w: w.free_visit,
        data=lambda w: {"crew": w.crew.pk, "start_on": DAY, "accept": "on"},
    ),
    "scheduling:visit_move": Row(JOB_OFFICE, about=lambda w: w.visit),
    "scheduling:job_explained": Row(JOB_SCHEDULE, about=lambda w: w.job),
    "scheduling:visits_cut": button(JOB_OFFICE, lambda w: w.job),
}
CREWS = {
    "scheduling:crew_list": Row(EVERYBODY),
    "scheduling:crew_add": form(OFFICE, data=typed(name="Green")),
    "scheduling:crew_detail": Row(CREW, about=lambda w: w.crew),
    "scheduling:crew_edit": form(CREW_OFFICE, lambda w: w.crew),
    "scheduling:crew_join": form(
        CREW_OFFICE, lambda w: w.crew, data=lambda w: {"person": w.kim.pk}
    ),
    "scheduling:crew_leave": form(
        CREW_OFFICE, lambda w: w.place_of_cam, data=typed(to_on=DAY)
    ),
    "scheduling:absence_list": Row(OFFICE_OWNER),
    "scheduling:absence_add": form(
        OFFICE,
        data=lambda w: {"person": w.cam.pk, "from_on": DAY, "to_on": LATER, **WHY},
    ),
    "scheduling:absence_detail": Row(OFFICE_OWNER, sent(OFFICE), lambda w: w.absence),
    "scheduling:closure_add": form(OFFICE, data=typed(from_on=DAY, to_on=LATER, **WHY)),
    "scheduling:closure_remove": form(OFFICE, lambda w: w.closure),
    "scheduling:lostday_add": Row(
        OFFICE_LEADS,
        (LOG_IN, 302, 403, 302, 422, 403, 403, 403),  # Lou may not choose Sal's job
        data=lambda w: {"job": w.job.pk, "day": w.booking.start_on, **WHY},
    ),
    "scheduling:lostday_detail": Row(
        (LOG_IN, 200, 200, 200, 403, 403, 403, 403),  # Sal called it off
        (LOG_IN, 302, 403, 302, 403, 403, 403, 403),
        lambda w: w.lost_day,
    ),
}
DELIVERIES = {
    "scheduling:delivery_list": Row((LOG_IN, 200, 200, 200, 200, 403, 403, 403)),
    "scheduling:delivery_detail": Row(JOB, about=lambda w: w.delivery),
    "scheduling:delivery_add": form(
        JOB_OFFICE,
        lambda w: w.job,
        data=lambda w: {"supplier": w.supplier.pk, f"line_{w.bom_line.pk}": 1},
    ),
    "scheduling:delivery_edit": form(JOB_OFFICE, lambda w: w.delivery),
    "scheduling:delivery_cancel": form(
        JOB_OFFICE, lambda w: w.delivery, data=typed(**WHY)
    ),
    "scheduling:delivery_receive": form(
        JOB_OFFICE_LEAD,
        lambda w: w.delivery,
        data=lambda w: {f"came_{line.pk}": "all" for line in w.delivery.lines.all()},
    ),
    "scheduling:supplier_list": Row(OFFICE),
    "scheduling:supplier_add": form(OFFICE, data=typed(name="Gutters")),
    "scheduling:supplier_edit": form(OFFICE, lambda w: w.supplier),
}
CALENDARS = {
    "scheduling:link_list": Row(EVERYBODY),
    "scheduling:link_make": button(
        CREW_OFFICE, data=lambda w: {"subject": f"crew-{w.crew.pk}"}
    ),
    "scheduling:link_revoke": form(OFFICE_KNOWS, lambda w: w.link),
}
