"""Parts without a mate, offered to another workshop."""
