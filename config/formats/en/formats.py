"""Dates and times as people write them here."""

DATE_FORMAT = "D j M Y"
SHORT_DATE_FORMAT = "j M Y"
DATETIME_FORMAT = "D j M Y, g:i a"
SHORT_DATETIME_FORMAT = "j M Y, g:i a"
TIME_FORMAT = "g:i a"
DATE_INPUT_FORMATS = ["%Y-%m-%d", "%d/%m/%Y", "%d/%m/%y", "%d %b %Y", "%d %B %Y"]
FIRST_DAY_OF_WEEK = 1
