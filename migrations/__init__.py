"""The schema's revisions; shipped with the program, which runs them when a record is made or opened."""
