"""What the use cases answer, ask and list."""
