"""How good the forecasts were."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.queries import local_day
from jobs.views.pages import PersonRequest, page_of
from scheduling.queries.accuracy import forecast_record


@require_safe
def forecast_list(request: PersonRequest) -> HttpResponse:
    """First forecasts of jobs beside the day they were done."""
    require(request.user, Can.SEE_SCHEDULE)
    today = local_day(timezone.now(), request.firm)
    record = forecast_record(request.firm, today)
    shown = {"accuracy": record.accuracy, "page": page_of(request, record.rows)}
    return render(request, "scheduling/forecast_list.html", shown)
