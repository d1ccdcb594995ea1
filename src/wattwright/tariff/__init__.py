"""What energy costs: tariff schema, price periods, bills exact in Decimal, and compiled price arrays for search."""
