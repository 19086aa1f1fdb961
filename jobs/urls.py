"""Pages of the base app."""

from django.contrib.auth import views as auth
from django.urls import path, register_converter

from jobs.spreadsheets import Format
from jobs.views import (
    accounts,
    approvals,
    clients,
    dimensions,
    documents,
    exports,
    firm,
    imports,
    job_page,
    jobs,
    ledger,
    materials,
    people,
    pins,
    rates,
    runs,
    sequence,
    tickets,
)


class FormatConverter:
    """A kind of file in an address."""

    regex = "|".join(kind.value for kind in Format)

    def to_python(self, value: str) -> str:
        """As it is."""
        return value

    def to_url(self, value: str) -> str:
        """As it is."""
        return str(value)


register_converter(FormatConverter, "file")

app_name = "jobs"
urlpatterns = [
    # accounts
    path("set-up/", accounts.set_up, name="set_up"),
    path("log-in/", accounts.LogIn.as_view(), name="log_in"),
    path("log-out/", auth.LogoutView.as_view(), name="log_out"),
    path("password/", accounts.ChangePassword.as_view(), name="password_change"),
    path(
        "password/changed/",
        auth.PasswordChangeDoneView.as_view(),
        name="password_change_done",
    ),
    path("password/new/", accounts.NewPassword.as_view(), name="password_reset"),
    path(
        "password/new/sent/",
        auth.PasswordResetDoneView.as_view(),
        name="password_reset_done",
    ),
    path(
        "password/new/<uidb64>/<token>/",
        accounts.SetPassword.as_view(),
        name="password_reset_confirm",
    ),
    path(
        "password/new/set/",
        auth.PasswordResetCompleteView.as_view(),
        name="password_reset_complete",
    ),
    # people
    path("me/", people.me, name="me"),
    path("people/", people.person_list, name="person_list"),
    path("people/add/", people.person_add, name="person_add"),
    path("people/<int:pk>/", people.person_detail, name="person_detail"),
    path("people/<int:pk>/edit/", people.person_edit, name="person_edit"),
    path("people/<int:pk>/roles/", people.person_roles, name="person_roles"),
    path("people/<int:pk>/pin/", pins.pin_hand_out, name="pin_hand_out"),
    path("my-pin/", pins.own_pin, name="own_pin"),
    path("people/<int:pk>/invite/", people.person_invite, name="person_invite"),
    path("people/<int:pk>/tickets/add/", tickets.ticket_add, name="ticket_add"),
    path("tickets/<int:pk>/withdraw/", tickets.ticket_withdraw, name="ticket_withdraw"),
    # clients, sites, the firm
    path("clients/", clients.client_list, name="client_list"),
    path("clients/add/", clients.client_add, name="client_add"),
    path("clients/<int:pk>/", clients.client_detail, name="client_detail"),
    path("clients/<int:pk>/edit/", clients.client_edit, name="client_edit"),
    path("clients/<int:pk>/sites/add/", clients.site_add, name="site_add"),
    path("sites/<int:pk>/", clients.site_edit, name="site_edit"),
    path("firm/", firm.firm_edit, name="firm_edit"),
    path("ledger/", ledger.firm_ledger, name="firm_ledger"),
    # jobs
    path("jobs/", jobs.job_list, name="job_list"),
    path("jobs/add/", jobs.job_add, name="job_add"),
    path("jobs/import/", imports.job_import, name="job_import"),
    path(
        "jobs/import/template.<file:kind>",
        imports.job_import_template,
        name="job_import_template",
    ),
    path("jobs/export.<file:kind>", exports.job_export, name="job_export"),
    path("jobs/<int:pk>/", job_page.job_detail, name="job_detail"),
    path("jobs/<int:pk>/edit/", jobs.job_edit, name="job_edit"),
    path("jobs/<int:pk>/close/", jobs.job_close, name="job_close"),
    path("jobs/<int:pk>/reopen/", jobs.job_reopen, name="job_reopen"),
    path("jobs/<int:pk>/ledger/", ledger.job_ledger, name="job_ledger"),
    path("jobs/<int:pk>/dimensions/", dimensions.job_dimensions, name="job_dimensions"),
    path(
        "jobs/<int:pk>/dimensions/preview/",
        dimensions.job_dimensions_preview,
        name="job_dimensions_preview",
    ),
    # the task sequence
    path("jobs/<int:pk>/sequence/", sequence.sequence_edit, name="sequence_edit"),
    path("jobs/<int:pk>/sequence/add/", sequence.task_add, name="task_add"),
    path("tasks/<int:pk>/edit/", sequence.task_edit, name="task_edit"),
    path("tasks/<int:pk>/waits-for/", sequence.task_links, name="task_links"),
    path("tasks/<int:pk>/remove/", sequence.task_remove, name="task_remove"),
    path("tasks/<int:pk>/move/<int:position>/", sequence.task_move, name="task_move"),
    # hours and rates
    path("jobs/<int:pk>/hours/", rates.job_hours, name="job_hours"),
    path("rates/", rates.rate_list, name="rate_list"),
    path("rates/decide/", rates.rate_decide, name="rate_decide"),
    # approvals
    path("approvals/", approvals.approval_list, name="approval_list"),
    path("approvals/kinds/add/", approvals.approval_kind_add, name="approval_kind_add"),
    path("approvals/<int:pk>/", approvals.approval_detail, name="approval_detail"),
    path("approvals/<int:pk>/step/", approvals.approval_step, name="approval_step"),
    path(
        "approvals/<int:pk>/needed/", approvals.approval_needed, name="approval_needed"
    ),
    path(
        "approvals/<int:pk>/expected/",
        approvals.approval_expected,
        name="approval_expected",
    ),
    path("jobs/<int:pk>/approvals/add/", approvals.approval_add, name="approval_add"),
    # materials and documents
    path("jobs/<int:pk>/materials/", materials.bom, name="bom"),
    path("jobs/<int:pk>/materials/add/", materials.bom_line_add, name="bom_line_add"),
    path("jobs/<int:pk>/materials/fill/", materials.bom_fill, name="bom_fill"),
    path("jobs/<int:pk>/materials/compare/", materials.bom_compare, name="bom_compare"),
    path("jobs/<int:pk>/materials/import/", imports.bom_import, name="bom_import"),
    path(
        "materials/template.<file:kind>",
        imports.bom_import_template,
        name="bom_import_template",
    ),
    path("jobs/<int:pk>/materials.<file:kind>", exports.bom_export, name="bom_export"),
    path("materials/<int:pk>/edit/", materials.bom_line_edit, name="bom_line_edit"),
    path(
        "materials/<int:pk>/remove/", materials.bom_line_remove, name="bom_line_remove"
    ),
    path("jobs/<int:pk>/documents/add/", documents.document_add, name="document_add"),
    path("documents/<int:pk>/", documents.document_file, name="document_file"),
    # background work
    path("runs/<uuid:pk>/", runs.run_detail, name="run_detail"),
    path("runs/<uuid:pk>/progress/", runs.run_progress, name="run_progress"),
    path("runs/<uuid:pk>/stop/", runs.run_stop, name="run_stop"),
]
