"""The condition list that an insurer and the next owner get."""
