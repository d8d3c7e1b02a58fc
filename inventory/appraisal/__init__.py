"""Whether to buy a part that is offered, at what price, and what to ask first."""
