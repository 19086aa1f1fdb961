"""Sign on with one's own PIN on the site lead's phone."""

from uuid import uuid4

import pytest
from django.core.cache import cache

from jobs.domain.refusals import Refused
from jobs.models import SitePin
from jobs.services.pins import hand_out_pin, set_own_pin
from safety.models import SignOn
from tests.safety.conftest import sign, text_of

DRAWN = [[[10, 10], [900, 400]]]
pytestmark = pytest.mark.usefixtures("no_tries")


@pytest.fixture
def no_tries():
    """Nobody has tried a PIN yet."""
    cache.clear()


@pytest.fixture
def pin(cam, before):
    """Cam's own PIN."""
    set_own_pin(pin="193755", actor=cam, at=before)
    return "193755"


def test_a_pin_and_a_drawn_name_sign(issued, cam, sal, before, pin):
    row = sign(issued, cam, before, actor=sal, pin=pin, strokes=DRAWN, typed_name="")
    assert (row.how, row.witnessed_by) == (SignOn.How.OWN_PIN, sal)
    assert (row.typed_name, row.strokes) == ("", DRAWN)


def test_who_does_not_draw_types_the_name(issued, cam, sal, before, pin):
    with pytest.raises(Refused, match="Type the full name"):
        sign(issued, cam, before, actor=sal, pin=pin, typed_name="")
    assert sign(issued, cam, before, actor=sal, pin=pin).typed_name == "Cam Crew"


@pytest.mark.parametrize("typed", ["", "193756", "19375"])
def test_without_the_right_pin_nobody_signs_for_them(
    issued, cam, sal, before, pin, typed
):
    with pytest.raises(Refused, match="not the PIN of Cam Crew"):
        sign(issued, cam, before, actor=sal, pin=typed)
    assert not SignOn.objects.exists()


def test_nobody_guesses_for_hours(issued, cam, sal, before, pin):
    for guess in range(10):
        with pytest.raises(Refused, match="not the PIN"):
            sign(issued, cam, before, actor=sal, pin=f"20000{guess}")
    with pytest.raises(Refused, match="Too many tries"):
        sign(issued, cam, before, actor=sal, pin=pin)


def test_with_their_own_login_no_pin_is_asked(issued, cam, before, pin):
    assert sign(issued, cam, before).how == SignOn.How.OWN_LOGIN


def test_a_handed_out_pin_is_replaced_as_it_is_used(issued, kit, sal, oscar, before):
    given = hand_out_pin(person=kit, actor=oscar, at=before)
    for new, says in (("", "6 to 8 digits"), (given, "another PIN")):
        with pytest.raises(Refused, match=says):
            sign(issued, kit, before, actor=sal, pin=given, new_pin=new)
    assert SitePin.objects.get(person=kit).once
    sign(issued, kit, before, actor=sal, pin=given, new_pin="402918")
    kept = SitePin.objects.get(person=kit)
    assert (kept.once, kept.set_by) == (False, sal)


def test_the_page_asks_for_a_pin_and_never_shows_it_again(
    issued, cam, sal, page, pin, before
):
    args = ("safety:sign_on_for", issued.pk, cam.pk)
    assert "Your PIN" in text_of(page(sal, *args))
    typed = {"client_uid": uuid4(), "pin": "193700", "signature_name": "Cam Crew"}
    refused = page(sal, *args, data=typed)
    assert refused.status_code == 422
    assert "not the PIN of Cam Crew" in text_of(refused)
    assert "193700" not in refused.text
    page(sal, *args, data=typed | {"pin": pin})
    assert SignOn.objects.get().how == SignOn.How.OWN_PIN


def test_without_a_pin_the_typed_name_counts_as_before(issued, kit, sal, page):
    args = ("safety:sign_on_for", issued.pk, kit.pk)
    assert "Your PIN" not in text_of(page(sal, *args))
    data = {"client_uid": uuid4(), "signature_name": "Kit Crew"}
    page(sal, *args, data=data)
    assert SignOn.objects.get().how == SignOn.How.LEADS_PHONE
