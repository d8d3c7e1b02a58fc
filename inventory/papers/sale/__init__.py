"""The sale sheet: one page for a buyer that says what "tested" means here."""
