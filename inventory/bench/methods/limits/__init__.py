"""Named readings held against limits."""
