"""What parts are said to be worth."""
