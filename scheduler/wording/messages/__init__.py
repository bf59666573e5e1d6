"""What messages to people say."""
