"""A parts-and-condition record for the classic-car workshop: the library and its command line."""
