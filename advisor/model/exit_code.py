"""What the program ends with. The meaning of each code is a contract with scripts."""

from enum import IntEnum


class ExitCode(IntEnum):
    """The exit code of a command; a hold and a scrap are verdicts, not errors."""

    DONE = 0
    FOUND = 1  # a check found something, or something comes out otherwise
    BAD_INPUT = 2
    LOST = 3  # compare: nothing is looser, but a caution or step was lost that no note names
    PARTLY = 4  # compare: neither of those in what was compared, but a part of the old rule set could not be read
    INTERRUPTED = 130  # Ctrl-C
