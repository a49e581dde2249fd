"""The command line, `advisor VERB ...`: for whoever runs it, not for import by others.

Python turns an interrupt into an error anywhere, in the midst of an import too, and ends in a traceback. So before
anything else is imported an interrupt is made to end the process as it does other programs; the run takes it over once
there is something to put in order. What comes before this line is Python's own start.
"""

import _signal  # type: ignore[import-not-found]  # the C part: `signal` imports other modules first

if _signal.getsignal(_signal.SIGINT) is _signal.default_int_handler:
    _signal.signal(_signal.SIGINT, _signal.SIG_DFL)

from advisor.cli.running import main

if __name__ == "__main__":
    main()
