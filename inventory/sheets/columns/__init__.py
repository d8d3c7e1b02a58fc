"""What the columns and cells of a table mean: header rows, header matching, days, amounts and words in cells."""
