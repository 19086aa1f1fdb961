"""Reads with a name, each in a fixed number of queries."""
