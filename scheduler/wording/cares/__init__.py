"""What is said of days, jobs, reports, birds and eggs, and of the diary."""
