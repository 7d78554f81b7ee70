"""What each command of ``burn-cockpit`` does: one file a command, each with ``run(asked)``.

The answer goes to stdout and nothing else does; what can't be done is raised as ``CommandError``.
"""


class CommandError(Exception):
    """What was asked for could not be done: one sentence, what, where, what to do."""


class UsageError(CommandError):
    """What was asked for makes no sense as it was put: one sentence, exit code 2."""
