"""What a person is told where a text is no TOML: what belongs there, and what to do about it."""

_USUAL = 'an entry such as name = "text", a [table] or a # comment'
_VALUE = "a value: text in quotes, a number with a point, true, false, a date such as 2025-03-31, or a list in [ ]"
_STEP = "Correct that line."

# By what stands in the message of Python's own reader of TOML; the first that fits is told.
_TOLD: tuple[tuple[tuple[str, ...], str, str], ...] = (
    (("Unterminated string", 'Expected "\'"', "Expected '\"'", "Illegal character '\\n'", "Illegal character '\\r'"),
     "a closing quote behind the text, in the same line", "Put the quote where the text ends."),
    (("Cannot overwrite", "twice", "Duplicate inline", "Cannot redefine", "Cannot mutate"),
     "each entry and each [table] once", "Take one of the two out, or write [[table]] for one more of a list."),
    (("Invalid value",), _VALUE, "Put text in quotes; write true and false in small letters."),
    (("Expected '=' after",), "an equals sign between the name of an entry and its value, such as zone = \"Europe/Athens\"",
     "Write the name without blanks, then = and the value."),
    (("Expected newline or end",), "one value for each entry, and nothing behind it but a # comment",
     "Write decimals with a point, text and sizes with their unit in quotes, dates as 2025-03-31, and one entry in each line."),
    (("end of a table", "end of an array declaration"), "a table's name between [ ], or [[ ]] for one of a list",
     "Close the brackets that the line opens."),
    (("Unclosed array",), "a closing ] behind the last element of the list", "Close the list that is open above this line."),
    (("Unclosed inline",), "a closing } in the same line", "Close the brace that the line opens."),
    (("Unescaped", "hex value", "unicode scalar", "Unicode scalar"), "no backslash, or two of them, inside text in double quotes",
     "Write paths with / or put the text in single quotes."),
    (("Illegal character", "invalid character"), "letters, digits and signs that can be seen",
     "Take the invisible sign out: write that line again by hand."),
    (("date or datetime",), "a date such as 2025-03-31 or a time such as 07:30", "Correct the date."),
    (("more parts than",), "an entry as a person writes it",
     "A key is dotted through more tables than are meant: look whether this is the right file."),
    (("nested too deep",), "text that a person wrote",
     "Lists are nested too deep or a number too long to be meant: look whether this is the right file."),
)  # fmt: skip


def in_our_words(message: str) -> tuple[str, str]:
    """Return what was wanted and the next step for a ``message`` of Python's reader of TOML."""
    return next(((wanted, step) for signs, wanted, step in _TOLD if any(one in message for one in signs)), (_USUAL, _STEP))
