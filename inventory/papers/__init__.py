"""Papers for others: passport, sale sheet, setting paper, claim, and one for those who come after."""
