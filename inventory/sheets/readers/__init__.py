"""Files of any make into tables of text: no file takes more memory than a fixed limit, and none is trusted."""
