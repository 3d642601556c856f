"""A lock on an open file that ends with its process: `flock` where there is one, a locked byte on Windows.

Each system has its own module for it, so that neither is imported where the other runs. A lock file of its own would
outlive a killed sweep and keep the next one out.
"""

import os
import sys

# Windows locks bytes, also such as the file does not have, and keeps readers from those it locks; its C library counts
# places in 31 bits.
_FAR_BYTE = 2**31 - 2


def try_lock(handle: int) -> bool:
    """Lock an open file for this process alone, without waiting.

    Parameters
    ----------
    handle : int
        Descriptor of a file open for writing; the lock ends when it is closed.

    Returns
    -------
    bool
        False where another one holds the lock.

    Raises
    ------
    OSError
        If the file system knows no locks.
    """
    if sys.platform == "win32":
        import msvcrt

        before = os.lseek(handle, 0, os.SEEK_CUR)
        try:
            os.lseek(handle, _FAR_BYTE, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
        finally:
            os.lseek(handle, before, os.SEEK_SET)
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
