"""What is wrong with a record: one module for each kind of fault, each with its rule. Nothing here changes a reading."""
