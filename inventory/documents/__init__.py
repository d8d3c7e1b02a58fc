"""Pictures and papers: their contents, and the things they are attached to."""
