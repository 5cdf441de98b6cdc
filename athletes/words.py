"""How numbers are said in a sentence."""

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def number_word(number: int) -> str:
    """Up to twelve in letters, as a sentence has it."""
    return NUMBERS[number] if 0 <= number < len(NUMBERS) else f"{number:,}"


def counted(number: int, one: str, many: str = "") -> str:
    """1 throw, 12 throws."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"
