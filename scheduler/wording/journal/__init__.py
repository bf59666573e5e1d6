"""What is said of the data file, and of a database that holds it."""
