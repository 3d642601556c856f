"""A real cluster on this machine's loopback: prints its address, then obeys lines on standard input.

``kill`` kills the process of one worker outright; ``stop`` ends the scheduler without a word; anything else ends
the cluster in order. Arguments are the threads of a worker and the scheduler's port, 0 for any.
"""

import os
import signal
import sys

from distributed import LocalCluster


def main() -> None:
    threads, port = int(sys.argv[1]), int(sys.argv[2])
    with LocalCluster(
        n_workers=2,
        threads_per_worker=threads,
        processes=True,
        host="127.0.0.1",
        scheduler_port=port,
        dashboard_address=None,
        silence_logs=50,
    ) as cluster:
        print(cluster.scheduler_address, flush=True)
        for line in sys.stdin:
            if line.strip() == "kill":
                nanny = next(iter(cluster.workers.values()))
                os.kill(nanny.pid, signal.SIGKILL)
                print("killed", flush=True)
            elif line.strip() == "stop":
                os.kill(os.getpid(), signal.SIGKILL)
            else:
                return


if __name__ == "__main__":
    main()
