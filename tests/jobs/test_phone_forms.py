"""Forms sent from a phone: an id of their own, and when the button was pressed."""

from datetime import timedelta
from uuid import UUID

from django.utils import timezone

from jobs.forms.phone import PhoneForm


def sent(**typed):
    form = PhoneForm(typed)
    assert form.is_valid()
    return form


def test_every_page_has_an_id_of_its_own():
    one, other = PhoneForm(), PhoneForm()
    assert one["client_uid"].value() != other["client_uid"].value()


def test_a_lost_id_is_made_anew():
    assert isinstance(sent(client_uid="").uid(), UUID)


def test_the_wait_without_signal_is_taken_off_the_servers_clock(now):
    form = sent(
        device_at="2026-08-02T20:00:00.000Z", sent_at="2026-08-02T21:30:00.000Z"
    )
    assert form.first_sent_at(now) == now - timedelta(minutes=90)


def test_times_that_cannot_be_read_are_none():
    form = sent(device_at="yesterday", sent_at="later")
    assert form.first_sent_at(timezone.now()) is None


def test_what_the_phone_said_of_the_time_is_not_shown_again():
    form = PhoneForm({"device_at": "2026-08-02T20:00:00Z", "client_uid": "no"})
    assert not form.is_valid()
    assert "value" not in str(form["device_at"])


def test_an_id_that_is_taken_is_replaced():
    form = PhoneForm({"client_uid": "8e4f7b0e-2c53-4c0f-9f57-2b9d8b7d1a11"})
    form.renew()
    assert form["client_uid"].value() != "8e4f7b0e-2c53-4c0f-9f57-2b9d8b7d1a11"
