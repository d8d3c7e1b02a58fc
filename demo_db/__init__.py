"""The data of an invented workshop: sheets, bench notes, a strip-down, pictures. story.txt has its story."""
