"""The demo firm in a database of its own, for measurements that need whole records."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import connection, transaction

from config.demo.days import WorkingDays
from config.demo.people import Firmament, make_firm
from config.demo.scenario import load
from config.demo.story import replay
from jobs.services.library import load_shipped


@contextmanager
def throwaway_database() -> Iterator[None]:
    """A database beside the real one, of the same make, gone afterwards.

    Nothing is committed, so no background work is sent either.
    """
    name = connection.settings_dict["NAME"]
    connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
    try:
        with transaction.atomic():
            yield
            transaction.set_rollback(True)
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)


def demo_firm(now: datetime) -> Firmament:
    """The demo firm as it stands at a moment."""
    load_shipped()
    scenario = load()
    told = scenario.firm["firm"]
    days = WorkingDays(now, ZoneInfo(told["time_zone"]), told["pack"])
    firm = make_firm(scenario.firm, days)
    replay(scenario, firm, days, lambda at: None)
    return firm
