"""Reads with a name, each in a fixed number of queries."""

from jobs.queries.firm import local_day, the_firm

__all__ = ["local_day", "the_firm"]
