"""What stands in calendars, a file a subject."""
