"""Where counting starts in each hemisphere: the same distance from its own shortest day.

What is counted from here is the same work half a year on, on the other side of the equator.
"""

from datetime import date, timedelta

NORTHERN_ANCHOR = date(2024, 12, 23)  # a Monday by the shortest day
HALF_YEAR = timedelta(weeks=26)  # so that the other anchor is a Monday too
SOUTHERN_ANCHOR = NORTHERN_ANCHOR + HALF_YEAR
