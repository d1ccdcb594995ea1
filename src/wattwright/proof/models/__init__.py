"""Models of the use before the measures: each is fitted to a record and says what it makes of other times."""
