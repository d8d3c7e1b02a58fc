"""Named readings compared with limits."""
