"""PINs to sign with on another's phone."""

import pytest
from django.core.exceptions import PermissionDenied

from jobs.domain.pins import pin_faults
from jobs.domain.refusals import Refused
from jobs.models import LedgerEntry, SitePin
from jobs.services.pins import hand_out_pin, set_own_pin


@pytest.mark.parametrize("pin", ["193755", "4071928"])
def test_digits_that_nobody_guesses_are_good(pin):
    assert pin_faults(pin) == []


@pytest.mark.parametrize(
    ("pin", "says"),
    [
        ("19375", "6 to 8 digits"),
        ("193755193", "6 to 8 digits"),
        ("19 375", "6 to 8 digits"),
        ("١٩٣٧٥٥", "6 to 8 digits"),
        ("777777", "not all the same"),
        ("345678", "in a row"),
        ("987654", "in a row"),
        ("890123", "in a row"),
    ],
)
def test_other_digits_say_what_to_do(pin, says):
    (fault,) = pin_faults(pin)
    assert says in fault


def test_a_pin_is_kept_as_passwords_are(cam, now):
    row = set_own_pin(pin="193755", actor=cam, at=now)
    assert "193755" not in row.secret
    assert (row.person, row.once) == (cam, False)


def test_a_new_pin_takes_the_place_of_the_old_one(cam, now):
    first = set_own_pin(pin="193755", actor=cam, at=now)
    again = set_own_pin(pin="402918", actor=cam, at=now)
    assert SitePin.objects.count() == 1
    assert again.secret != first.secret


def test_the_office_hands_out_one_that_counts_once(oscar, cam, now):
    pin = hand_out_pin(person=cam, actor=oscar, at=now)
    assert pin_faults(pin) == []
    assert SitePin.objects.get(person=cam).once


def test_no_digit_of_it_is_in_the_ledger(oscar, cam, now):
    pin = hand_out_pin(person=cam, actor=oscar, at=now)
    entry = LedgerEntry.objects.get(verb="firm:pin:handed-out")
    assert entry.payload == '{"person":"Cam Crew"}'
    assert pin not in entry.payload


def test_only_people_who_sign_have_one(oscar, olive, now):
    with pytest.raises(PermissionDenied):
        set_own_pin(pin="193755", actor=oscar, at=now)
    with pytest.raises(Refused, match="signs nothing on site"):
        hand_out_pin(person=olive, actor=oscar, at=now)


def test_site_leads_hand_none_out(sal, cam, now):
    with pytest.raises(PermissionDenied):
        hand_out_pin(person=cam, actor=sal, at=now)


def test_one_chooses_it_on_a_page_of_ones_own(client, cam):
    client.force_login(cam)
    wrong = client.post("/my-pin/", {"pin": "193755", "again": "193756"})
    assert "This is not the same PIN." in wrong.text
    assert "193755" not in wrong.text
    assert not SitePin.objects.exists()
    assert client.post("/my-pin/", {"pin": "193755", "again": "193755"}).url == "/"
    assert SitePin.objects.get().person == cam


def test_the_office_sees_what_it_hands_out_once_and_nothing_keeps_the_page(
    client, oscar, cam
):
    client.force_login(oscar)
    url = f"/people/{cam.pk}/pin/"
    asked = client.get(url)
    assert "It is shown once." in asked.text
    assert not SitePin.objects.exists()
    shown = client.post(url)
    assert len(shown.context["pin"]) == 6
    assert shown.context["pin"] in shown.text
    assert "no-store" in shown.headers["Cache-Control"]
