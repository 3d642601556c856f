"""Every test, and every program that a test starts, keeps its cells in a folder of the test run's own."""

import pytest


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory, worker_id):
    base = tmp_path_factory.getbasetemp()
    shared = base if worker_id == "master" else base.parent  # one folder for all workers
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("FILLBEND_CACHE", str(shared / "cells"))
        yield
