"""Work in a process of its own, killed in the midst of it."""

import os
import signal
from collections.abc import Callable

from django.db import InterfaceError, OperationalError, connection, connections

Wrapper = Callable[..., object]


def forked(work: Callable[[], None]) -> int:
    """A child process that does ``work`` by connections of its own; its process id."""
    connections.close_all()
    child = os.fork()
    if child:
        return child
    try:
        work()
    except (OperationalError, InterfaceError):
        os._exit(3)
    except BaseException:
        os._exit(4)
    os._exit(0)


def ended(child: int) -> int:
    """What the child ended with: 0, its own code, or minus the signal."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def count_statements(work: Callable[[], None]) -> int:
    """How many statements ``work`` sends, here and undisturbed."""
    n_statements = 0

    def count(run: Wrapper, *arguments: object) -> object:
        nonlocal n_statements
        n_statements += 1
        return run(*arguments)

    with connection.execute_wrapper(count):
        work()
    return n_statements


def killed_at_statement(work: Callable[[], None], moment: int) -> None:
    """Kill ``work`` at a moment: before statement ``moment / 2``, or after its answer when odd."""
    passed = 0

    def kill_at(run: Wrapper, *arguments: object) -> object:
        nonlocal passed
        if passed == moment:
            os.kill(os.getpid(), signal.SIGKILL)
        answer = run(*arguments)
        if passed + 1 == moment:
            os.kill(os.getpid(), signal.SIGKILL)
        passed += 2
        return answer

    def wrapped() -> None:
        with connection.execute_wrapper(kill_at):
            work()

    assert ended(forked(wrapped)) in {-signal.SIGKILL, 0}
