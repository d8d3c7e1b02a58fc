"""Mishaps: a part was dropped, heated, wetted or shorted."""
