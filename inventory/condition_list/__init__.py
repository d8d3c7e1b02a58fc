"""The condition list for the insurer and the next owner."""
