"""Deliveries: order, change, cancel, and check in on a phone."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import Job
from jobs.permissions import get_job, require
from jobs.queries import local_day
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    confirm_page,
    counted,
    form_page,
    gone_to,
    page_of,
    refusals_in,
)
from scheduling.domain.calendar import say_day
from scheduling.forms.deliveries import (
    CancelForm,
    CheckInForm,
    DeliveryFilter,
    DeliveryForm,
)
from scheduling.models import Delivery
from scheduling.permissions import get_delivery, visible_deliveries
from scheduling.queries.calendar import why_closed
from scheduling.queries.deliveries import (
    DeliveryView,
    deliveries_found,
    delivery_views,
    lines_of,
    lines_to_order,
)
from scheduling.services.deliveries import (
    cancel_delivery,
    change_delivery,
    order_delivery,
)
from scheduling.services.receipts import check_in


def _crumbs(delivery: Delivery | None = None, last: str = "") -> Crumbs:
    crumbs = [("Deliveries", reverse("scheduling:delivery_list"))]
    if delivery is not None:
        here = reverse("scheduling:delivery_detail", args=[delivery.pk]) if last else ""
        crumbs.append((f"{delivery.job.number}, {delivery.supplier}", here))
    return [*crumbs, (last, "")] if last else crumbs


@require_safe
def delivery_list(request: PersonRequest) -> HttpResponse:
    """Deliveries of the jobs this person sees, what is still to come first."""
    require(request.user, Can.SEE_DELIVERIES)
    filters = DeliveryFilter(request.GET or None)
    asked = filters.cleaned_data if filters.is_valid() else {}
    today = local_day(timezone.now(), request.firm)
    show = asked.get("show") or "open"
    found = deliveries_found(
        visible_deliveries(request.user), show, asked.get("q", ""), today
    )
    page = page_of(request, found)
    shown = {
        "filters": filters,
        "page": page,
        "rows": delivery_views(page.object_list, today),
        "show": show,
    }
    return render(request, "scheduling/delivery_list.html", shown)


@require_safe
def delivery_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """One load: what is on it, and what came of it."""
    delivery = get_delivery(request.user, pk)
    today = local_day(timezone.now(), request.firm)
    receipts = delivery.receipts.select_related("received_by", "photo")
    trail = _crumbs(delivery)
    if not request.user.can(Can.SEE_DELIVERIES):
        job = delivery.job
        trail[0] = (str(job), reverse("jobs:job_detail", args=[job.pk]))
    shown = {
        "delivery": delivery,
        "view": delivery_views([delivery], today)[0],
        "receipts": receipts,
        "crumbs": trail,
    }
    return render(request, "scheduling/delivery_detail.html", shown)


@require_http_methods(["GET", "POST"])
def delivery_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Order a load for a job, proposing what nothing else brings yet."""
    job = get_job(request.user, pk, to=Can.ORDER_DELIVERIES)
    now = timezone.now()
    initial = {"ordered_on": local_day(now, request.firm)}
    lines = lines_to_order(job, now)
    form = DeliveryForm(request.POST or None, lines=lines, initial=initial)
    if form.is_valid():
        with refusals_in(form):
            delivery = order_delivery(
                job=job,
                values=form.values(),
                amounts=form.amounts(),
                actor=request.user,
                at=now,
            )
            messages.success(request, "The delivery is recorded.")
            _warn_of_closed_day(request, delivery)
            return redirect("scheduling:delivery_detail", delivery.pk)
    return _order_page(request, form, job, has_lines=bool(lines))


def _order_page(
    request: PersonRequest, form: DeliveryForm, job: Job, *, has_lines: bool
) -> HttpResponse:
    return form_page(
        request,
        form,
        heading=f"Order a delivery for {job}",
        lede=""
        if has_lines
        else "The job has no bill of materials yet: fill it in first, then order from it.",
        crumbs=_crumbs(last="Order"),
    )


@require_http_methods(["GET", "POST"])
def delivery_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change a load that has not come."""
    delivery = get_delivery(request.user, pk, to=Can.ORDER_DELIVERIES)
    lines = lines_of(delivery)
    form = DeliveryForm(request.POST or None, instance=delivery, lines=lines)
    if form.is_valid():
        with refusals_in(form, delivery):
            changed = change_delivery(
                delivery=get_delivery(request.user, pk),
                version=form.opened_version(),
                values=form.values(),
                amounts=form.amounts(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            _warn_of_closed_day(request, changed)
            return redirect("scheduling:delivery_detail", pk)
    return form_page(
        request,
        form,
        heading="Change the delivery",
        crumbs=_crumbs(delivery, "Change"),
    )


def _warn_of_closed_day(request: PersonRequest, delivery: Delivery) -> None:
    """Say so when a load comes while nobody works; somebody may wait for it there."""
    day = delivery.due_on
    why = why_closed(request.firm, day) if day is not None else ""
    if day is not None and why:
        messages.warning(
            request,
            f"It comes on {say_day(day)}: {why}. Make sure that somebody is there, or "
            "choose another day.",
        )


@require_http_methods(["GET", "POST"])
def delivery_cancel(request: PersonRequest, pk: int) -> HttpResponse:
    """Call a load off."""
    delivery = get_delivery(request.user, pk, to=Can.ORDER_DELIVERIES)
    form = CancelForm(request.POST or None)
    reasons: tuple[str, ...] = ()
    if form.is_valid():
        try:
            cancel_delivery(
                delivery=delivery,
                reason=form.cleaned_data["reason"],
                actor=request.user,
                at=timezone.now(),
            )
        except Refused as error:
            reasons = error.reasons
        else:
            messages.success(request, "The delivery is cancelled.")
            return redirect("scheduling:delivery_detail", pk)
    elif form.is_bound:
        reasons = ("Say why.",)
    return confirm_page(
        request,
        says=f"Call off the delivery of {delivery.supplier} for {delivery.job}?",
        button="Call it off",
        back=reverse("scheduling:delivery_detail", args=[pk]),
        fields=form.as_div(),
        reasons=reasons,
    )


@require_http_methods(["GET", "POST"])
def delivery_receive(request: PersonRequest, pk: int) -> HttpResponse:
    """Check a load in, line by line, on a phone."""
    delivery = get_delivery(request.user, pk, to=Can.RECEIVE_DELIVERIES)
    now = timezone.now()
    today = local_day(now, request.firm)
    view = delivery_views([delivery], today)[0]
    form = CheckInForm(
        request.POST or None,
        request.FILES or None,
        lines=[(row.line, row.left) for row in view.lines],
    )
    if form.is_valid():
        with refusals_in(form):
            typed = form.cleaned_data
            check_in(
                delivery=delivery,
                client_uid=form.uid(),
                device_at=form.first_sent_at(now) or now,
                counted=form.counted(),
                note=typed["note"],
                photo=typed.get("photo"),
                actor=request.user,
                at=now,
            )
            _say_what_is_missing(request, delivery_views([_again(delivery)], today)[0])
            return gone_to(request, "scheduling:delivery_detail", pk)
    return form_page(
        request,
        form,
        heading="Check the load in",
        lede=f"{delivery.supplier} for {delivery.job}",
        crumbs=_crumbs(delivery, "Check in"),
        template="scheduling/delivery_receive.html",
        delivery=delivery,
    )


def _again(delivery: Delivery) -> Delivery:
    """The same load without the lines and counts that were read before."""
    return Delivery.objects.select_related("supplier", "job").get(pk=delivery.pk)


def _say_what_is_missing(request: PersonRequest, view: DeliveryView) -> None:
    short = [row for row in view.lines if row.is_short]
    if not short:
        messages.success(request, "Checked in. All of it is here.")
        return
    what = counted(len(short), "line")
    are = "is" if len(short) == 1 else "are"
    messages.warning(
        request, f"Checked in. {what} {are} not complete: the tasks that need it wait."
    )
