"""The plan: which loads to switch, when and how, searched on the engine, and how far it is from the best that anyone could do."""
