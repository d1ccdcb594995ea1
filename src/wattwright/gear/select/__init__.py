"""Selection of equipment: each candidate judged by every rule, with its clause and its margin."""
