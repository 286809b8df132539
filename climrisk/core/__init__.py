"""What every layer may use: constants, errors, validation, calendar, paths."""
