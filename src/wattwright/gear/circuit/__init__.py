"""One circuit: what the appliance draws, its protection and its cable, rule by rule with clause and margin."""
