"""Commands in the top folder and panels in the notebooks' folder speak of the same jobs."""

import os

from panelmech.__main__ import main
from panelmech.job import demo, job_names
from panelmech.job.shelf import shelf_here


def test_beside_the_notebooks_their_jobs_are_meant_elsewhere_a_folder_here(tmp_path, monkeypatch, capsys):
    monkeypatch.delenv("PANELMECH_JOB", raising=False)
    monkeypatch.chdir(tmp_path)
    assert os.fspath(shelf_here()) == "jobs"
    (tmp_path / "notebooks").mkdir()
    (tmp_path / "notebooks" / "00_start.ipynb").touch()
    demo().save(tmp_path / "mine.json")
    assert main(["new", "rudder", "--from", "mine.json"]) == 0
    assert job_names(tmp_path / "notebooks" / "jobs") == ["rudder"] and not (tmp_path / "jobs").exists()
    assert main(["open"]) == 0 and "rudder" in capsys.readouterr().out
