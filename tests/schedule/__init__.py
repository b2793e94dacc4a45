"""Time, calendar, lists: how a plan fits into days, and what has to be bought, asked and handed in."""
