"""The admin site: library tables, for the office."""

from django.contrib import admin


class LibraryAdminSite(admin.AdminSite):
    """Where the firm's libraries are kept. Jobs are worked on elsewhere."""

    site_header = site_title = "Eavesline libraries"
    index_title = "Libraries"
