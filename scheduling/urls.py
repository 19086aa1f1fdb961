"""Pages of the scheduling app."""

from django.urls import path

from scheduling.views import (
    bookings,
    calendars,
    crews,
    deliveries,
    drafts,
    explained,
    plan,
    suppliers,
    time_off,
)

app_name = "scheduling"
urlpatterns = [
    path("plan/", plan.plan, name="plan"),
    path("plan/drafts/ask/", drafts.draft_ask, name="draft_ask"),
    path("plan/drafts/<int:pk>/", drafts.draft_detail, name="draft_detail"),
    path("plan/drafts/<int:pk>/publish/", drafts.draft_publish, name="draft_publish"),
    path("plan/drafts/<int:pk>/discard/", drafts.draft_discard, name="draft_discard"),
    path("plan/bookings/<int:pk>/", bookings.booking_detail, name="booking_detail"),
    path("plan/bookings/<int:pk>/pin/", bookings.booking_pin, name="booking_pin"),
    path("plan/bookings/<int:pk>/off/", bookings.booking_off, name="booking_off"),
    path("plan/visits/<int:pk>/book/", bookings.visit_book, name="visit_book"),
    path("jobs/<int:pk>/visits/cut/", bookings.visits_cut, name="visits_cut"),
    path("jobs/<int:pk>/why/", explained.job_explained, name="job_explained"),
    path("crews/", crews.crew_list, name="crew_list"),
    path("crews/add/", crews.crew_add, name="crew_add"),
    path("crews/<int:pk>/", crews.crew_detail, name="crew_detail"),
    path("crews/<int:pk>/edit/", crews.crew_edit, name="crew_edit"),
    path("crews/<int:pk>/join/", crews.crew_join, name="crew_join"),
    path("crews/places/<int:pk>/leave/", crews.crew_leave, name="crew_leave"),
    path("days-off/", time_off.absence_list, name="absence_list"),
    path("days-off/away/", time_off.absence_add, name="absence_add"),
    path("days-off/away/<int:pk>/", time_off.absence_cancel, name="absence_cancel"),
    path("days-off/shut/", time_off.closure_add, name="closure_add"),
    path("days-off/shut/<int:pk>/", time_off.closure_remove, name="closure_remove"),
    path("days-off/lost/", time_off.lostday_add, name="lostday_add"),
    path("days-off/lost/<int:pk>/", time_off.lostday_detail, name="lostday_detail"),
    path("deliveries/", deliveries.delivery_list, name="delivery_list"),
    path("deliveries/<int:pk>/", deliveries.delivery_detail, name="delivery_detail"),
    path("deliveries/<int:pk>/edit/", deliveries.delivery_edit, name="delivery_edit"),
    path(
        "deliveries/<int:pk>/cancel/",
        deliveries.delivery_cancel,
        name="delivery_cancel",
    ),
    path(
        "deliveries/<int:pk>/check-in/",
        deliveries.delivery_receive,
        name="delivery_receive",
    ),
    path("jobs/<int:pk>/deliveries/add/", deliveries.delivery_add, name="delivery_add"),
    path("suppliers/", suppliers.supplier_list, name="supplier_list"),
    path("suppliers/add/", suppliers.supplier_add, name="supplier_add"),
    path("suppliers/<int:pk>/edit/", suppliers.supplier_edit, name="supplier_edit"),
    path("calendars/", calendars.link_list, name="link_list"),
    path("calendars/make/", calendars.link_make, name="link_make"),
    path("calendars/<int:pk>/revoke/", calendars.link_revoke, name="link_revoke"),
    path("calendar/<str:token>.ics", calendars.calendar_feed, name="calendar_feed"),
]
