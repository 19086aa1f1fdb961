"""Links that the demo writes lead to where the demo is."""

import pytest

from config.management.commands.demo import with_own_address


def test_links_lead_to_the_port_that_the_demo_has():
    found = with_own_address({"HOME": "/root"}, 8711)
    assert found == {"HOME": "/root", "SITE_URL": "http://127.0.0.1:8711"}


@pytest.mark.parametrize("name", ["SITE_URL", "SITE_URL_FILE"])
def test_an_address_that_is_given_stays(name):
    given = {name: "https://demo.example"}
    assert with_own_address(given, 8711) == given
