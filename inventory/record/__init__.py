"""Facts about the record itself: wrong clocks, how sheets are read, withdrawals."""
