"""Formats for English."""
