"""Pictures from a folder: which part each is of, told by the labels in them."""
