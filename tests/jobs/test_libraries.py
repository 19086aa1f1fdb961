"""Library texts: shipped, edited by the office, checked before they are kept."""

import pytest
from django.core.management import call_command
from django.urls import reverse

from jobs.domain.refusals import Refused
from jobs.library import method, shipped
from jobs.models import ApprovalKind, LedgerEntry, LibraryText
from jobs.services.library import edit_text, load_shipped


@pytest.fixture
def flat(library):
    """The text of the flat roof's method."""
    return library.get(kind="method", key="attached_flat")


def admin(browser, row, text):
    url = reverse("admin:jobs_librarytext_change", args=[row.pk])
    return browser.post(url, {"text": text})


def test_every_shipped_method_is_loaded_and_can_be_read(library):
    keys = {row.key for row in library.filter(kind="method")}
    assert {item.key for item in shipped() if item.kind == "method"} == keys
    for key in keys:
        assert 12 <= len(method(key).tasks) <= 25


def test_loading_again_changes_nothing(library, capsys):
    call_command("load_library")
    assert "up to date" in capsys.readouterr().out


def test_the_firms_own_changes_stay(flat, oscar, now, capsys):
    edit_text(text=flat, new=flat.text + "\n# ours\n", actor=oscar, at=now)
    assert "method: attached_flat" in load_shipped().kept
    call_command("load_library")
    assert (
        "Kept as the firm changed it: method: attached_flat" in capsys.readouterr().out
    )


def test_a_newer_shipped_text_replaces_an_older_one(flat):
    LibraryText.objects.filter(pk=flat.pk).update(
        text="old", digest="0" * 64, shipped_digest="0" * 64
    )
    assert "method: attached_flat" in load_shipped().updated


def test_the_office_edits_a_text(as_person, oscar, flat):
    response = admin(as_person(oscar), flat, flat.text + "\n# ours\n")
    assert response.status_code == 302
    flat.refresh_from_db()
    assert flat.is_edited
    assert LedgerEntry.objects.filter(verb="firm:library:changed").exists()


def test_a_mistake_is_named_with_its_line(as_person, oscar, flat):
    lines = flat.text.splitlines()
    line = next(n for n, text in enumerate(lines, start=1) if "structure:" in text)
    lines[line - 1] = "structure: castle"
    response = admin(as_person(oscar), flat, "\n".join(lines))
    assert response.status_code == 200
    assert f"methods/attached_flat.yaml, line {line}:" in response.text
    flat.refresh_from_db()
    assert not flat.is_edited


def test_the_service_checks_too(flat, oscar, now):
    with pytest.raises(Refused, match="line 1"):
        edit_text(text=flat, new="- not a method", actor=oscar, at=now)


def test_a_job_keeps_the_method_it_was_opened_with(flat, job, oscar, now):
    before = list(job.tasks.values_list("name", "spec"))
    new = flat.text.replace("Set up", "Arrange")
    edit_text(text=flat, new=new, actor=oscar, at=now)
    assert list(job.tasks.values_list("name", "spec")) == before


def test_a_kind_of_approval_is_changed_on_the_record(as_person, oscar, library):
    kind = ApprovalKind.objects.get(key="council")
    url = reverse("admin:jobs_approvalkind_change", args=[kind.pk])
    typed = {
        "name": kind.name,
        "given_by": kind.given_by,
        "why": kind.why,
        "basis": kind.basis,
        "usual_days": 55,
        "needed_before_booking": "on",
        "needed_when_attached": "on",
        "needed_when_freestanding": "on",
    }
    as_person(oscar).post(url, typed)
    kind.refresh_from_db()
    assert kind.usual_days == 55
    entry = LedgerEntry.objects.get(verb="firm:approval-kind:changed")
    assert entry.payload == '{"usual_days":[40,55]}'


def test_the_admin_has_no_door_of_its_own(client, firm):
    """Its own log-in page would not count tries."""
    response = client.get("/libraries/login/")
    assert response.status_code == 302
    assert response.headers["Location"].startswith("/log-in/")


@pytest.mark.parametrize("who", ["olive", "sal", "cam", "gus"])
def test_nobody_else_enters(as_person, request, flat, who):
    browser = as_person(request.getfixturevalue(who))
    assert admin(browser, flat, flat.text).status_code in {302, 403}
    assert browser.get("/libraries/", follow=True).status_code == 403
