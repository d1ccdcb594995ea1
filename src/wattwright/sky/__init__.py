"""Sun and weather: where the sun stands, and weather files read through one door."""
