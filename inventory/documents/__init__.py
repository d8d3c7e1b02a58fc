"""Pictures and papers: their bytes, and the things they belong to."""
