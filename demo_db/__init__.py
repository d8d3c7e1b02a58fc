"""An invented workshop, told by data: sheets, bench notes, a strip-down, pictures. Its story stands in story.txt."""
