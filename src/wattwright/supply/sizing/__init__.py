"""What inverter, battery and PV to quote: sizes screened in one sweep, the few that matter confirmed by the engine."""
