"""Sweeps: every setting once, equal cells once, the same numbers on every road, broken workers survived."""

import csv
import json
import os
import threading
from collections import Counter
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace

import pytest

import fem.printed.core
from fem.estimation import estimate
from fem.printed.cell_store import default_folder
from patterns.errors import InputError, SolverError
from patterns.paths.cost import Machine
from tests.validation.small_studies import write_study
from validation.cli import main
from validation.results.beside import Results
from validation.results.estimates import estimate_dict
from validation.study.study import load
from validation.sweep.executors import Crew, open_crew
from validation.sweep.result_file import ResultFile
from validation.sweep.sweep import Task, run_all, shared_cells, solve_cell, solve_setting, sweep, tasks
from validation.sweep.table import flatten, write_table
from validation.text.output import plain


class Inline(Executor):
    """An executor of the plainest kind."""

    def submit(self, fn, /, *args, **kwargs):
        future = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future


def double(number):
    return 2 * number


# --- handing over -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("executor", [Inline, lambda: ThreadPoolExecutor(3)])
def test_every_task_comes_back_once_from_any_executor(executor):
    with executor() as pool:
        found = dict(run_all(Crew(pool, 3), range(1, 101), double))
    assert found == {n: 2 * n for n in range(1, 101)}


def test_only_a_few_tasks_are_handed_over_at_a_time():
    handed, most = 0, 0

    class Counting(Inline):
        def submit(self, fn, /, *args, **kwargs):
            nonlocal handed
            handed += 1
            return super().submit(fn, *args, **kwargs)

    for done, _ in enumerate(run_all(Crew(Counting(), 2), range(1, 500), double)):
        most = max(most, handed - done)
    assert handed == 499
    assert most <= 8


def test_an_error_of_one_task_does_not_end_the_others():
    found = dict(run_all(Crew(Inline(), 1), [4, 2, 0, 1], lambda n: 4 // n if n != 1 else None))
    assert isinstance(found.pop(0), ZeroDivisionError)
    assert found == {4: 1, 2: 2, 1: None}


def test_dropped_tasks_end_the_sweep_with_one_line():
    class Dropping(Inline):
        def submit(self, fn, /, *args, **kwargs):
            future = Future()
            future.cancel()
            future.set_running_or_notify_cancel()
            return future

    with pytest.raises(SolverError, match="dropped its tasks; what is finished is kept: run again"):
        list(run_all(Crew(Dropping(), 1), [1], double))


class Silent(Crew):
    """An executor that finishes nothing; asked whether it is alive it says yes a few times."""

    patience = 0.01

    def __init__(self, answers):
        super().__init__(Inline(), 2)
        self.executor.submit = lambda *_: Future()
        self.answers = answers

    def require_alive(self):
        self.answers -= 1
        if self.answers < 0:
            raise SolverError("silent")


@pytest.mark.parametrize("answers", [0, 3])
def test_whoever_falls_silent_is_asked_and_not_waited_for_longer(answers):
    crew = Silent(answers)
    with pytest.raises(SolverError, match="silent"):
        list(run_all(crew, [1, 2, 3], double))
    assert crew.answers == -1


class Fragile(Crew):
    """Workers that break on given tasks, as often as told, together with everything handed over before."""

    def __init__(self, breaks: dict[int, int]) -> None:
        self.breaks, self.worked, self.renewed = breaks, Counter(), -1
        super().__init__(Inline(), 2)
        self.renew()

    def renew(self) -> None:
        self.renewed += 1
        crew = self

        class Pool(Inline):
            broken, pending = False, ()

            def submit(self, fn, task):
                if self.broken:
                    raise BrokenProcessPool
                if crew.breaks.get(task, 0) > 0:
                    crew.breaks[task] -= 1
                    self.broken = True
                    future = Future()
                    future.set_exception(BrokenProcessPool())
                    return future
                crew.worked[task] += 1
                return super().submit(fn, task)

        self.executor = Pool()


@pytest.mark.parametrize("victim", [1, 7, 30])
def test_a_worker_that_dies_once_costs_nothing(victim):
    crew = Fragile({victim: 1})
    assert dict(run_all(crew, range(1, 31), double)) == {n: 2 * n for n in range(1, 31)}
    assert crew.renewed == 1
    assert max(crew.worked.values()) == 1


def test_a_setting_that_kills_its_worker_every_time_is_named_and_the_others_finish():
    crew = Fragile({5: 99})
    found = dict(run_all(crew, range(1, 31), double))
    assert "died twice" in str(found.pop(5))
    assert found == {n: 2 * n for n in range(1, 31) if n != 5}
    assert crew.renewed == 2


def test_an_executor_of_others_that_breaks_ends_the_sweep_with_one_line():
    class Broken(Inline):
        def submit(self, fn, /, *args, **kwargs):
            raise BrokenProcessPool

    with pytest.raises(SolverError, match="what is finished is kept: run again"):
        list(run_all(Crew(Broken(), 1), [1], double))


# --- keys -------------------------------------------------------------------------------------------------------


@pytest.fixture
def study(tmp_path):
    return load(write_study(tmp_path))


def test_a_key_changes_with_everything_that_the_result_depends_on(study, monkeypatch):
    named = study.settings[0]
    setting, card = named.setting, named.setting.card

    def keyed(setting=setting, machine=Machine()):  # noqa: B008 (frozen)
        return tasks([replace(named, setting=setting)], machine)[0].key

    young = replace(card, young_mpa=replace(card.young_mpa, low=card.young_mpa.low - 1))
    keys = [
        keyed(),
        keyed(replace(setting, card=young)),
        keyed(replace(setting, specimen=replace(setting.specimen, length=61.0))),
        keyed(replace(setting, test=replace(setting.test, load_angle_deg=1.0))),
        keyed(machine=Machine(speed_core=1.0)),
    ]
    monkeypatch.setattr("validation.sweep.sweep.row_stamp", lambda: "other code")
    keys.append(keyed())
    assert len(set(keys)) == len(keys)
    monkeypatch.undo()
    assert keyed() == keys[0]


def test_cells_are_shared_by_settings_that_differ_only_outside_the_core(study):
    found = tasks(study.settings, Machine())
    assert [task.named.keys["core.set_fill"] for task in shared_cells(found)] == [0.2, 0.4]
    assert shared_cells(found[::2]) == []  # one wall count only: each cell is needed once
    turned = replace(
        found[0].named.setting, core=replace(found[0].named.setting.core, angles_deg=(0.0, 90.0))
    )
    same_cell = replace(found[0], named=replace(found[0].named, setting=turned))
    assert len(shared_cells([found[0], same_cell])) == 1  # a prismatic cell has no second angle
    hollow = replace(turned, core=replace(turned.core, set_fill=0.0))
    assert shared_cells([replace(found[0], named=replace(found[0].named, setting=hollow))] * 2) == []


def test_a_worker_with_other_code_refuses(study):
    task = replace(tasks(study.settings[:1], Machine())[0], code="other")
    with pytest.raises(SolverError, match="another version of fillbend"):
        solve_setting(task)


# --- numbers ----------------------------------------------------------------------------------------------------


@pytest.fixture
def serial_rows(study, tmp_path, monkeypatch):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path / "cells"))
    return {named.label: plain(estimate_dict(named, estimate(named.setting))) for named in study.settings}


def results_of(path):
    rows = (json.loads(line) for line in path.read_text(encoding="utf-8").splitlines())
    return {row.pop("label"): row for row in rows}


def same_numbers(row, serial):
    return {name: row[name] for name in serial} == serial


def test_results_are_the_same_alone_and_in_a_sweep_cold_and_cached(study, tmp_path, serial_rows, monkeypatch):
    solved = []
    monkeypatch.setattr(
        fem.printed.core,
        "solve_core",
        lambda key, solve=fem.printed.core.solve_core: solved.append(key) or solve(key),
    )
    for round_ in ("cold", "cached"):
        fem.printed.core._cell.cache_clear()
        path = tmp_path / f"{round_}.jsonl"
        with ThreadPoolExecutor(1) as pool, ResultFile(path) as results:
            list(sweep(Crew(pool, 1), tasks(study.settings, Machine()), results))
        found = results_of(path)
        assert found.keys() == serial_rows.keys()
        assert all(same_numbers(found[label], serial_rows[label]) for label in found)
    assert len(solved) == len(set(solved)) == 2  # two fills for four settings, solved in the cold round only


def test_the_command_runs_resumes_and_gives_the_same_numbers_with_two_processes(
    study, tmp_path, serial_rows, capsys, monkeypatch
):
    output = tmp_path / "out.csv"
    command = ["sweep", str(study.path), "-o", str(output), "--workers", "2", "--json"]
    assert main(command) == 0
    first = json.loads(capsys.readouterr().out)
    assert (first["settings"], first["solved_now"], first["failed"]) == (4, 4, 0)
    found = results_of(output.with_suffix(".jsonl"))
    assert all(same_numbers(found[label], serial_rows[label]) for label in serial_rows)
    before = output.read_bytes()
    assert main(command) == 0
    assert json.loads(capsys.readouterr().out)["solved_now"] == 0
    assert output.read_bytes() == before
    other = tmp_path / "other.csv"  # results are kept beside the cells, so that another file needs no worker
    monkeypatch.setattr("validation.sweep.executors.open_crew", None)
    assert main(["sweep", str(study.path), "-o", str(other), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["solved_now"] == 0
    assert other.read_bytes() == before
    assert results_of(other.with_suffix(".jsonl")) == found
    table = list(csv.DictReader(before.decode().splitlines()))
    assert [row["setting"] for row in table] == [named.label for named in study.settings]
    for row in table:
        serial = serial_rows[row["setting"]]  # the table is rounded to seven digits, the lines are not
        assert float(row["stiffness_N_per_mm"]) == pytest.approx(
            serial["stiffness_N_per_mm"]["best"], rel=1e-6
        )
        assert float(row["breaking_force_low_N"]) == pytest.approx(
            serial["breaking_force_N"]["low"], rel=1e-6
        )
        assert float(row["core.set_fill"]) == serial["fill"]["set"]


def test_a_setting_that_cannot_be_estimated_gets_a_row_and_an_exit_status(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path / "cells"))
    study = write_study(tmp_path, fills=[0.0], walls=[1, 7])
    output = tmp_path / "out.csv"
    assert main(["sweep", str(study), "-o", str(output), "--workers", "1"]) == InputError.status
    err = capsys.readouterr().err
    assert "set_fill 0, walls 7: walls 7: only 6 of 0.5 mm fit" in err
    assert err.rstrip().endswith("2 settings, 2 estimated now, 1 failed")
    good, bad = csv.DictReader(output.read_text(encoding="utf-8").splitlines())
    assert good["error"] == ""
    assert float(good["mass_g"]) > 0
    assert bad["error"].startswith("walls 7")
    assert bad["mass_g"] == ""


def test_the_table_may_not_take_the_place_of_the_results(study, tmp_path, capsys):
    for name in ("out.jsonl", "out.xlsx"):
        assert main(["sweep", str(study.path), "-o", str(tmp_path / name)]) == 2
        assert capsys.readouterr().err.endswith(f"{name}: the table of a sweep is written as .csv\n")
    assert main(["sweep", str(study.path), "-o", str(tmp_path / "out.csv"), "--workers", "0"]) == 2
    both = ["--workers", "2", "--scheduler", "tcp://127.0.0.1:1"]
    assert main(["sweep", str(study.path), "-o", str(tmp_path / "out.csv"), *both]) == 2
    assert "give one" in capsys.readouterr().err
    assert not list(tmp_path.glob("out*"))


def test_a_table_of_another_study_or_of_beams_is_never_overwritten(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path / "cells"))
    first = write_study(tmp_path, fills=[0.0], walls=[1])
    second = tmp_path / "second.toml"
    second.write_bytes(first.read_bytes())
    output = tmp_path / "out.csv"
    assert main(["sweep", str(first), "-o", str(output), "--workers", "1"]) == 0
    before = output.read_bytes()
    capsys.readouterr()
    assert main(["sweep", str(second), "-o", str(output)]) == 2
    told = capsys.readouterr().err
    assert told == (
        f"fillbend: {output.with_suffix('.jsonl')}: holds finished settings of study.toml, not of second.toml; "
        "choose another output\n"
    )
    assert output.read_bytes() == before
    write_study(tmp_path, fills=[0.0], walls=[1, 2])  # the same study, grown
    assert main(["sweep", str(first), "-o", str(output), "--workers", "1"]) == 0
    beams = tmp_path / "specimens.csv"
    beams.write_text("set_fill,specimen\n0.2,A1\n", encoding="utf-8")
    assert main(["sweep", str(first), "-o", str(beams)]) == 2
    assert "is no table of a sweep; choose another output" in capsys.readouterr().err
    assert beams.read_text(encoding="utf-8") == "set_fill,specimen\n0.2,A1\n"


def test_the_table_has_the_columns_of_a_report_s_settings(study, serial_rows):
    results = Results.of(study, [estimate(named.setting) for named in study.settings], None)
    for report, named in zip(results.to_rows(), study.settings, strict=True):
        line = flatten({"label": named.label, "varied": named.keys, **serial_rows[named.label]})
        assert line.pop("error") is None
        assert line == {name: report[name] for name in line}


def test_the_table_leaves_out_what_is_not_finished_and_keeps_the_old_one_when_it_cannot_be_written(tmp_path):
    failed = {"label": "b", "varied": {"x": 2}, "error": "no"}
    path = tmp_path / "t.csv"
    assert write_table(path, [None, failed]) == 1
    (row,) = csv.DictReader(path.read_text(encoding="utf-8").splitlines())
    assert (row["x"], row["setting"], row["error"]) == ("2", "b", "no")
    with pytest.raises(InputError, match="cannot be written"):
        write_table(tmp_path / "missing" / "t.csv", [failed])


# --- processes --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Job:
    number: int


def environment_of(job: Job) -> tuple[int, str, int]:
    return os.getpid(), os.environ["OPENBLAS_NUM_THREADS"], threading.active_count()


def test_workers_are_processes_with_one_numerical_thread_and_leave_the_environment_alone(monkeypatch):
    monkeypatch.setenv("OMP_NUM_THREADS", "7")
    monkeypatch.delenv("MKL_NUM_THREADS", raising=False)
    with open_crew(2, None, 10) as crew:
        found = [result for _, result in run_all(crew, [Job(n) for n in range(10)], environment_of)]
    assert {threads for _, threads, _ in found} == {"1"}
    assert os.getpid() not in {pid for pid, _, _ in found}
    assert os.environ["OMP_NUM_THREADS"] == "7"
    assert "MKL_NUM_THREADS" not in os.environ


def counted(task: Task, work):
    """Do the work with a line in ``solves`` beside the cells for each cell that is solved."""
    solve = fem.printed.core.solve_core

    def solve_and_note(key):
        with (default_folder().parent / "solves").open("a") as stream:
            stream.write(f"{key}\n")
        return solve(key)

    fem.printed.core.solve_core = solve_and_note
    try:
        return work(task)
    finally:
        fem.printed.core.solve_core = solve


def counted_cell(task: Task) -> None:
    return counted(task, solve_cell)


def counted_setting(task: Task) -> dict:
    return counted(task, solve_setting)


@pytest.mark.slow
def test_processes_solve_each_cell_once(tmp_path, monkeypatch):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path / "cells"))
    todo = tasks(load(write_study(tmp_path, fills=[0.2, 0.3, 0.4], walls=[1, 2, 3])).settings, Machine())
    with open_crew(2, None, len(todo)) as crew:
        list(run_all(crew, shared_cells(todo), counted_cell))
        found = [row for _, row in run_all(crew, todo, counted_setting)]
    assert len(found) == 9
    assert not any("error" in row for row in found)
    solves = (tmp_path / "solves").read_text().splitlines()
    assert len(solves) == len(set(solves)) == 3
