"""What the process that reminds says besides its messages."""
