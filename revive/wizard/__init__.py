"""The interview and the stand-by while priming: what is said, asked and taken, one question at a time."""
