"""The history of a part in three lanes (whose, with whom, where fitted), and that of a car."""
