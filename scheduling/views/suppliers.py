"""Suppliers."""

from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.views.pages import Crumbs, PersonRequest, form_page, page_of, refusals_in
from scheduling.forms.deliveries import SupplierForm
from scheduling.models import Supplier
from scheduling.permissions import get_supplier
from scheduling.services.suppliers import add_supplier, edit_supplier


def _crumbs(last: str) -> Crumbs:
    return [
        ("Deliveries", reverse("scheduling:delivery_list")),
        ("Suppliers", reverse("scheduling:supplier_list")),
        (last, ""),
    ]


@require_safe
def supplier_list(request: PersonRequest) -> HttpResponse:
    """Suppliers by name."""
    require(request.user, Can.ORDER_DELIVERIES)
    waiting = Q(
        deliveries__cancelled_at__isnull=True, deliveries__receipts__isnull=True
    )
    rows = Supplier.objects.annotate(
        to_come=Count("deliveries", filter=waiting, distinct=True)
    ).order_by("name")
    shown = {
        "page": page_of(request, rows),
        "crumbs": [*_crumbs("")[:1], ("Suppliers", "")],
    }
    return render(request, "scheduling/supplier_list.html", shown)


@require_http_methods(["GET", "POST"])
def supplier_add(request: PersonRequest) -> HttpResponse:
    """Add a supplier."""
    require(request.user, Can.ORDER_DELIVERIES)
    form = SupplierForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            supplier = add_supplier(
                values=form.values(), actor=request.user, at=timezone.now()
            )
            messages.success(request, f"{supplier.name} is added.")
            return redirect("scheduling:supplier_list")
    return form_page(
        request, form, heading="Add a supplier", crumbs=_crumbs("Add a supplier")
    )


@require_http_methods(["GET", "POST"])
def supplier_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change a supplier's details."""
    supplier = get_supplier(request.user, pk)
    form = SupplierForm(request.POST or None, instance=supplier)
    if form.is_valid():
        with refusals_in(form, supplier):
            edit_supplier(
                supplier=supplier,
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("scheduling:supplier_list")
    return form_page(
        request, form, heading="Change the supplier", crumbs=_crumbs("Change")
    )
