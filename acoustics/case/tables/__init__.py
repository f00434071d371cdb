"""The tables of a case file: keys, ranges, defaults and what they say."""
