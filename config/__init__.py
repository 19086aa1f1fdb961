"""Settings, URLs, server entry points. No domain code.

Imports nothing: ``manage.py`` comes through here before anything is installed.
"""
