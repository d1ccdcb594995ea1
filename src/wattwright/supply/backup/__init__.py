"""The backup story: what runs in an outage, for how long, what is shed when, and how many hours a year are lost."""
