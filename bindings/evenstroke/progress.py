"""How far a batch is."""

import sys


def reporter(progress):
    """What the compiled part calls with (done, of); None stays None.

    True: a tqdm bar if that is installed, else a line on stderr that is written over.
    """
    if progress is None or progress is False:
        return None
    if callable(progress):
        return progress
    try:
        from tqdm.auto import tqdm
    except ImportError:
        return _line
    bar = None

    def show(done, of):
        nonlocal bar
        if bar is None or bar.total != of:  # a sample that grows
            bar = tqdm(total=of, initial=done)
        bar.update(done - bar.n)
        if done >= of:
            bar.close()

    return show


def _line(done, of):
    sys.stderr.write(f"\r{done} of {of}" + ("\n" if done >= of else ""))
    sys.stderr.flush()
