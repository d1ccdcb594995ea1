"""What every room stands on: clock, calendar, series, money, findings, basis, seeds, errors."""
