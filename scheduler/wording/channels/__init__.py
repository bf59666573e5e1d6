"""What is said of the ways out."""
