"""Checks by programs that CI does not have. Run by hand; the results stand in the commit that ran them."""
