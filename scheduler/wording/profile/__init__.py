"""What is said of a profile: its keys, what is wrong with it, and the advice that helps."""
