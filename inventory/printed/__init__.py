"""Paper: pages as PDF, with the fonts and the head that all of them share."""
