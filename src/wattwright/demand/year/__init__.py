"""From weeks to a year: a short record annualised with a band, and the record held against paid bills."""
