"""Workbooks, ods, csv and json that the program writes: text stays text, a file is written whole or not at all."""
