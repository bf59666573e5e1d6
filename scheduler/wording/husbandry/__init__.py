"""What is said of the trade's numbers, a file a subject."""
