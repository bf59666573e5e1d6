"""What is said of this machine: its files, its secrets, where things lie."""
