"""Plan in, text out. A renderer decides nothing about the machine."""
