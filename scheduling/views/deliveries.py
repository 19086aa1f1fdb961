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
from jobs.permissions import get_job, require_any
from jobs.queries import local_day
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    confirm_page,
    form_page,
    page_of,
    refusals_in,
)
from scheduling.forms.deliveries import (
    CancelForm,
    CheckInForm,
    DeliveryFilter,
    DeliveryForm,
)
from scheduling.models import Delivery
from scheduling.permissions import get_delivery, visible_deliveries
from scheduling.queries.deliveries import (
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
    require_any(request.user, Can.ORDER_DELIVERIES, Can.RECEIVE_DELIVERIES)
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
    shown = {
        "delivery": delivery,
        "view": delivery_views([delivery], today)[0],
        "receipts": receipts,
        "crumbs": _crumbs(delivery),
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
            change_delivery(
                delivery=get_delivery(request.user, pk),
                version=form.opened_version(),
                values=form.values(),
                amounts=form.amounts(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("scheduling:delivery_detail", pk)
    return form_page(
        request,
        form,
        heading="Change the delivery",
        crumbs=_crumbs(delivery, "Change"),
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
                client_uid=typed["client_uid"],
                device_at=typed["device_at"] or now,
                counted=form.counted(),
                note=typed["note"],
                photo=typed.get("photo"),
                actor=request.user,
                at=now,
            )
            messages.success(
                request, "Checked in. What is missing now holds its tasks."
            )
            return redirect("scheduling:delivery_detail", pk)
    return form_page(
        request,
        form,
        heading="Check the delivery in",
        lede=f"{delivery.supplier} for {delivery.job}",
        crumbs=_crumbs(delivery, "Check in"),
        template="scheduling/delivery_receive.html",
    )
