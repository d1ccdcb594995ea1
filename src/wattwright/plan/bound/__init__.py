"""The bound: what nobody could beat, even knowing the future, by a linear programme over loads, stores, tariff and supply."""
