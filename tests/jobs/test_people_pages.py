"""The office keeps people's records; an owner gives out roles."""

import pytest
from django.core import mail
from django.urls import reverse

from jobs.domain.refusals import Refused, Stale
from jobs.domain.roles import Role
from jobs.models import LedgerEntry, Person
from jobs.services.people import set_roles


@pytest.fixture
def typed():
    """Someone new, as typed."""
    return {
        "name": "Nell New",
        "email": "Nell@Testfield.example",
        "phone": "0491 570 006",
        "roles": ["crew"],
        "invite": "on",
    }


def test_the_office_adds_someone_and_a_link_goes_out(as_person, oscar, typed):
    as_person(oscar).post(reverse("jobs:person_add"), typed)
    nell = Person.objects.get(name="Nell New")
    assert nell.email == "nell@testfield.example"
    assert nell.roles == {Role.CREW}
    assert mail.outbox[0].to == ["nell@testfield.example"]
    assert LedgerEntry.objects.get().verb == "firm:person:added"


def test_someone_without_email_cannot_log_in_but_is_there(as_person, oscar, typed):
    as_person(oscar).post(reverse("jobs:person_add"), typed | {"email": ""})
    assert Person.objects.get(name="Nell New").email is None
    assert mail.outbox == []


def test_the_same_email_is_refused_and_the_rest_kept(as_person, oscar, typed):
    typed["email"] = "OSCAR@testfield.example"
    response = as_person(oscar).post(reverse("jobs:person_add"), typed)
    assert response.status_code == 422
    assert "already logs in" in response.text
    assert "Nell New" in response.text


def test_the_office_cannot_make_an_owner(as_person, oscar, typed):
    typed["roles"] = ["owner"]
    response = as_person(oscar).post(reverse("jobs:person_add"), typed)
    assert response.status_code == 422
    assert not Person.objects.filter(name="Nell New").exists()


def test_an_owner_can(as_person, olive, typed):
    as_person(olive).post(reverse("jobs:person_add"), typed | {"roles": ["office"]})
    nell = Person.objects.get(name="Nell New")
    assert nell.is_office
    assert nell.is_staff


@pytest.mark.parametrize("name", ["person_list", "person_add"])
def test_site_leads_and_crew_keep_out(as_person, sal, cam, name):
    for person in (sal, cam):
        assert as_person(person).get(reverse(f"jobs:{name}")).status_code == 403


def test_others_records_are_not_there_for_crew(as_person, cam, sal):
    url = reverse("jobs:person_detail", args=[sal.pk])
    assert as_person(cam).get(url).status_code == 404


def test_a_change_is_recorded_with_old_and_new(as_person, oscar, sal):
    url = reverse("jobs:person_edit", args=[sal.pk])
    change = {"name": "Sal Leader", "email": sal.email, "is_active": "on", "version": 1}
    as_person(oscar).post(url, change)
    sal.refresh_from_db()
    assert (sal.name, sal.version) == ("Sal Leader", 2)
    assert '["Sal Lead","Sal Leader"]' in LedgerEntry.objects.get().payload


def test_a_stale_form_shows_both_and_then_saves(as_person, oscar, sal):
    browser, url = as_person(oscar), reverse("jobs:person_edit", args=[sal.pk])
    base = {"email": sal.email, "is_active": "on", "version": 1}
    browser.post(url, base | {"name": "First"})
    late = browser.post(url, base | {"name": "Second"})
    assert late.status_code == 422
    assert "it is now “First”" in late.text
    assert 'value="Second"' in late.text
    assert 'name="version" value="2"' in late.text
    browser.post(url, base | {"name": "Second", "version": 2})
    sal.refresh_from_db()
    assert sal.name == "Second"


def test_nothing_changed_leaves_no_trace(as_person, oscar, sal):
    url = reverse("jobs:person_edit", args=[sal.pk])
    same = {"name": sal.name, "email": sal.email, "is_active": "on", "version": 1}
    as_person(oscar).post(url, same)
    assert not LedgerEntry.objects.exists()


def test_roles_are_the_owners_part(as_person, oscar, olive, sal):
    url = reverse("jobs:person_roles", args=[sal.pk])
    assert as_person(oscar).get(url).status_code == 403
    as_person(olive).post(url, {"roles": ["office", "crew"], "version": 1})
    sal.refresh_from_db()
    assert sal.roles == {Role.OFFICE, Role.CREW}


def test_the_last_owner_stays(as_person, olive):
    url = reverse("jobs:person_roles", args=[olive.pk])
    response = as_person(olive).post(url, {"roles": ["office"], "version": 1})
    assert response.status_code == 422
    assert "needs an owner" in response.text


def test_the_last_owner_cannot_leave(as_person, olive, oscar):
    url = reverse("jobs:person_edit", args=[olive.pk])
    leave = {"name": olive.name, "email": olive.email, "version": 1}
    assert as_person(oscar).post(url, leave).status_code == 422
    olive.refresh_from_db()
    assert olive.is_active


def test_roles_may_not_be_overwritten_unseen(olive, sal, now):
    change = {"person": sal, "version": 1, "actor": olive, "at": now}
    set_roles(**change, roles={Role.CREW})
    with pytest.raises(Stale):
        set_roles(**change, roles={Role.OFFICE})
    with pytest.raises(Refused):
        set_roles(person=olive, version=1, roles=set(), actor=olive, at=now)


def test_a_link_is_sent_on_request(as_person, oscar, sal):
    as_person(oscar).post(reverse("jobs:person_invite", args=[sal.pk]))
    assert mail.outbox[0].to == [sal.email]


def test_the_list_filters_by_part_and_name(as_person, oscar, sal, cam, lou):
    browser, url = as_person(oscar), reverse("jobs:person_list")
    leads = browser.get(url, {"role": "site_lead", "q": "sal"}).text
    assert "Sal Lead" in leads
    assert "Lou Lead" not in leads
    assert "Nobody fits" in browser.get(url, {"role": "gone"}).text
