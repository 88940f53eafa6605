"""What comes into the store, what is passed over, and that nothing is lost on the way out and in again."""

import signal
from concurrent.futures import Future

import pytest

from pipeline.errors import OutputError, StillroomError
from pipeline.record import Review
from pipeline.review.dietitian import content_hash
from pipeline.shelf.adding import Crew, Done, files_in, keep_all, tasks_again, tasks_of
from pipeline.shelf.drafting import Failed, Task, Tools
from pipeline.shelf.executors import executor_of
from pipeline.shelf.keeping import remove
from pipeline.shelf.stopping import stop_key
from pipeline.shelf.store import reading, writing
from pipeline.shelf.upkeep import backup, check, export_lines, tasks_of_lines
from pipeline.shelf.vocabulary import load_groups, refresh

from .kitchen import LATER, TOOLS, Inline, add, dish, draft, episode, record_task, spoken_task, transcript
from .test_shelf_store import sound


@pytest.fixture
def store(place):
    with writing(place) as opened:
        yield opened


@pytest.fixture
def folder(tmp_path):
    """A folder with two transcripts, a record with its card, and things that are neither."""
    folder = tmp_path / "programmes"
    (folder / "old").mkdir(parents=True)
    (folder / "b.txt").write_bytes(transcript("plain cake of egg and butter"))
    (folder / "old" / "a.txt").write_bytes(transcript("lemon stew of salmon"))
    (folder / "pilot.record.json").write_text(episode(dish("apple sorbet of apple"), file="pilot.txt").to_json())
    (folder / "pilot.md").write_text("# Apple sorbet\n")
    (folder / ".hidden.txt").write_text("x")
    (folder / "picture.png").write_text("x")
    return folder


def run(store, folder, tools=TOOLS, **more):
    return [
        (outcome.kept if isinstance(outcome, Done) else "failed")
        for outcome in keep_all(store, tasks_of(store, files_in([folder]), **more), Crew(Inline(), 1, tools))
    ]


def test_a_folder_gives_its_transcripts_and_records_and_no_cards(folder):
    names = [path.name for path in files_in([folder, folder / "b.txt"])]
    assert names == ["b.txt", "a.txt", "pilot.record.json"]
    with pytest.raises(StillroomError, match="there is no such file or folder"):
        files_in([folder / "none"])


def test_what_is_there_unchanged_is_passed_over_without_drafting(store, folder):
    assert run(store, folder) == ["added"] * 3
    assert run(store, folder, tools=Tools(draft=None)) == ["unchanged"] * 3
    (folder / "b.txt").write_bytes(transcript("plain cake of egg and butter and milk"))
    assert sorted(run(store, folder)) == ["added", "unchanged", "unchanged"]


def test_other_rules_other_measures_and_other_amendments_draft_again(store, folder):
    run(store, folder)
    store.run("UPDATE episode SET rules = 'older' WHERE file = 'b.txt'")
    assert sorted(run(store, folder)) == ["unchanged", "unchanged", "updated"]
    assert sorted(run(store, folder, measures="british")) == ["updated"] * 3
    assert run(store, folder) == ["unchanged"] * 3


def test_a_failing_file_is_told_and_the_others_go_on(store, folder):
    (folder / "a.txt").write_text("[00:01] there is fire in here\n")
    (folder / "bad.json").write_text('{"record": "stillroom-episode/1"}')
    outcomes = list(keep_all(store, tasks_of(store, files_in([folder])), Crew(Inline(), 1, TOOLS)))
    failed = [outcome for outcome in outcomes if isinstance(outcome, Failed)]
    assert len(outcomes) - len(failed) == 3
    assert {str(one.fault).split(": ", 1)[1] for one in failed} == {
        "there is a fire in the kitchen",
        "is not an episode record: source: Field required",
    }


def test_a_record_of_a_transcript_that_is_there_keeps_its_speech_and_number(store):
    task = spoken_task("one.txt", "lemon stew of salmon", "we love our garden")
    add(store, task)
    record = draft(TOOLS.read(task.content, "one.txt"))
    changed = record.model_copy(update={"recipes": (record.recipes[0].model_copy(update={"title": "best stew"}),)})
    assert [done.kept for done in add(store, record_task(changed))] == ["updated"]
    assert store.all("SELECT id, r.title, spoken LIKE '%garden%' FROM recipe r JOIN recipe_text ON recipe = id") == [
        (1, "best stew", 1)
    ]
    assert [found for found in check(store, TOOLS) if found] == []


def test_a_transcript_of_a_record_that_is_there_brings_its_speech_and_keeps_the_record(store, tmp_path):
    file = tmp_path / "one.txt"
    file.write_bytes(transcript("lemon stew of salmon", "we love our garden"))
    record = draft(TOOLS.read(file.read_bytes(), "one.txt"))
    kept = record.model_copy(update={"recipes": (record.recipes[0].model_copy(update={"title": "best stew"}),)})
    add(store, record_task(kept))
    assert run(store, file) == ["updated"]
    assert store.all("SELECT r.title, spoken LIKE '%garden%' FROM recipe r JOIN recipe_text ON recipe = id") == [
        ("best stew", 1)
    ]
    assert run(store, file) == ["unchanged"]


def draft_or_break(spoken, *, measures=None):
    """A drafter with a fault of its own."""
    if "stew" in spoken.lines[0].text:
        raise KeyError("stew")
    return draft(spoken)


def test_a_fault_of_the_program_fails_one_file_and_the_others_go_on(store, folder):
    crew = Crew(Inline(), 1, Tools(draft=draft_or_break))
    outcomes = list(keep_all(store, tasks_of(store, files_in([folder])), crew))
    assert [type(outcome) for outcome in outcomes].count(Done) == 2
    (failed,) = [outcome for outcome in outcomes if isinstance(outcome, Failed)]
    assert str(failed.fault) == "could not be drafted, by a fault of the program: KeyError: 'stew'"
    assert failed.label.endswith("a.txt")


@pytest.mark.parametrize("when", range(4))
def test_a_run_that_is_stopped_tells_each_file_that_it_kept(store, folder, when):
    asked = iter(range(100))
    crew = Crew(Inline(), 1, TOOLS)
    tasks = tasks_of(store, files_in([folder]))
    outcomes = list(keep_all(store, tasks, crew, stopped=lambda: next(asked) >= when))
    assert len(outcomes) == store.one("SELECT count(*) FROM episode") <= when
    assert len(run(store, folder)) == 3


def test_the_key_is_held_back_while_work_is_under_way_and_heard_when_asked(request):
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # a run in the background does not hear the key
    request.addfinalizer(lambda: signal.signal(signal.SIGINT, before))
    with stop_key() as key:
        assert not key.pressed()
        signal.raise_signal(signal.SIGINT)
        assert key.pressed()
        assert key.pressed()
    with pytest.raises(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)


def test_workers_that_are_gone_end_the_run_in_one_sentence(store):
    class Gone(Inline):
        def submit(self, work, /, *given, **named):
            future = Future()
            future.cancel()
            future.set_running_or_notify_cancel()
            return future

    with pytest.raises(StillroomError, match="the workers ended before their time; run the command again"):
        list(keep_all(store, [spoken_task("one.txt", "a of egg")], Crew(Gone(), 1, TOOLS)))


def test_a_review_that_came_without_its_file_outlives_adding_and_rebuilding(store, tmp_path):
    file = tmp_path / "one.txt"
    file.write_bytes(transcript("lemon stew of salmon"))
    run(store, file)
    bare = draft(TOOLS.read(file.read_bytes(), "one.txt")).model_copy(update={"rules": "older"})
    review = Review(by="A. Diet", credential="dietitian", date="2024-05-05", content=content_hash(bare))
    add(store, record_task(bare.model_copy(update={"review": review})))
    assert store.all("SELECT reviewed FROM recipe") == [(1,)]
    assert run(store, file, tools=LATER) == ["unchanged"]
    list(keep_all(store, tasks_again(store, every=True), Crew(Inline(), 1, LATER), anew=True))
    assert store.all("SELECT reviewed, title FROM recipe") == [(1, "lemon stew")]


AMENDMENTS = """
[[decision]]
recipe = "lemon-stew"
kind = "title"
title = "Sunday stew"
who = "A. Cook"
when = 2024-05-01
why = "so it is called"
"""


def test_decisions_beside_a_file_come_in_with_it_and_stay_when_it_is_drafted_again(store, tmp_path):
    file = tmp_path / "one.txt"
    file.write_bytes(transcript("lemon stew of salmon"))
    run(store, file)
    (tmp_path / "one.amendments.toml").write_text(AMENDMENTS)
    assert run(store, file) == ["updated"]
    assert store.all("SELECT title FROM recipe") == [("Sunday stew",)]
    (tmp_path / "one.amendments.toml").unlink()
    assert run(store, file) == ["unchanged"]
    crew = Crew(Inline(), 1, LATER)
    assert [done.kept for done in keep_all(store, tasks_again(store, every=True), crew, anew=True)] == ["updated"]
    assert store.all(
        "SELECT id, slug, title, rules FROM recipe r JOIN episode e ON e.id = r.episode".replace("id,", "r.id,", 1)
    ) == [(1, "lemon-stew", "Sunday stew", "later")]


def test_rebuild_takes_those_of_other_rules_and_leaves_what_cannot_be_drafted(store):
    add(store, spoken_task("one.txt", "lemon stew of salmon"), spoken_task("two.txt", "plain cake of egg"))
    add(store, record_task(episode(dish("apple sorbet of apple"), file="pilot.txt")))
    store.run("UPDATE episode SET rules = 'older' WHERE file <> 'two.txt'")
    crew = Crew(Inline(), 1, LATER)
    done = list(keep_all(store, tasks_again(store, every=False), crew, anew=True))
    assert [one.label for one in done] == ["one.txt", "pilot.txt"]
    assert store.all("SELECT title FROM recipe ORDER BY id") == [("LEMON STEW",), ("plain cake",), ("apple sorbet",)]


def test_the_date_is_the_one_in_the_name_or_the_one_given(store):
    add(store, spoken_task("show-20240229.txt", "a of egg"), spoken_task("show.txt", "b of egg", date="2020-01-01"))
    assert store.all("SELECT date FROM recipe ORDER BY id") == [("2024-02-29",), ("2020-01-01",)]


def test_out_and_in_again_nothing_is_lost(store, tmp_path):
    decided = Task("x", "é.txt", content=transcript("lemon stew of salmon"), amendments=AMENDMENTS, measures="british")
    add(store, decided, spoken_task("two.txt", "plain cake of egg and salt", date="2021-12-31"))
    add(store, record_task(episode(dish("apple sorbet of apple"), file="pilot.txt", reviewed=True)))
    lines = list(export_lines(store))
    with writing(tmp_path / "other.shelf", make=True) as other:
        refresh(other)
        tasks = tasks_of_lines([line.encode() for line in lines], file="x.jsonl")
        assert [done.kept for done in keep_all(other, tasks, Crew(Inline(), 1, TOOLS))] == ["added"] * 3
        assert list(export_lines(other)) == lines
        columns = "SELECT title, reviewed, date, time_low FROM recipe ORDER BY title"
        assert other.all(columns) == store.all(columns)


def test_a_line_that_is_no_episode_is_told_with_its_number(store):
    bad = [b"{}\n", b"not json\n", b"\n", b'{"shelf": "other/1"}\n']
    failed = list(tasks_of_lines(bad, file="x.jsonl"))
    assert [one.fault.line for one in failed] == [1, 2, 4]


def test_a_removed_episode_is_gone_from_every_table(store):
    add(store, spoken_task("one.txt", "lemon stew of salmon and salt at 180 for 20"))
    with store.transaction():
        remove(store, 1)
    tables = ("episode", "recipe", "recipe_text", "recipe_food", "recipe_load", "recipe_heat", "recipe_finding")
    assert [store.one(f"SELECT count(*) FROM {table}") for table in tables] == [0] * 7
    assert store.one("SELECT count(*) FROM recipe_words WHERE recipe_words MATCH 'lemon'") == 0
    assert [found for found in check(store, TOOLS) if found] == []


def test_a_backup_is_a_whole_store_and_replaces_only_a_store(store, place, tmp_path):
    add(store, spoken_task("one.txt", "lemon stew of salmon"))
    copy = tmp_path / "copy.shelf"
    with store.transaction():
        store.run("DELETE FROM episode")
        backup(place, copy)
        store.run("ROLLBACK")
        store.run("BEGIN")
    assert sound(copy) == 1
    add(store, spoken_task("two.txt", "plain cake of egg"))
    backup(place, copy)
    assert sound(copy) == 2
    notes = tmp_path / "notes.txt"
    notes.write_text("keep me")
    for target in (notes, place):
        with pytest.raises(OutputError, match="it was left as it is"):
            backup(place, target)
    with pytest.raises(StillroomError):
        backup(place, tmp_path / "none" / "copy.shelf")
    assert notes.read_text() == "keep me"
    assert {path.name for path in tmp_path.glob(".*")} == set()


def test_worker_processes_draft_what_one_process_would(tmp_path, folder, place):
    with writing(place) as alone:
        run(alone, folder)
        expected = list(export_lines(alone))
    with writing(tmp_path / "many.shelf", make=True) as store, executor_of(workers=2) as (pool, workers):
        refresh(store)
        tasks = tasks_of(store, files_in([folder]))
        assert {done.kept for done in keep_all(store, tasks, Crew(pool, workers, TOOLS))} == {"added"}
        assert list(export_lines(store)) == expected


def test_a_cluster_of_two_workers_drafts_what_one_process_would(tmp_path, folder, place):
    distributed = pytest.importorskip("distributed", reason="the optional library distributed is not installed")
    with writing(place) as alone:
        run(alone, folder)
        expected = list(export_lines(alone))
    local = {"n_workers": 2, "threads_per_worker": 1, "processes": True, "dashboard_address": None}
    with (
        distributed.LocalCluster(**local) as cluster,
        writing(tmp_path / "many.shelf", make=True) as store,
        executor_of(workers=1, scheduler=cluster.scheduler_address) as (pool, workers),
    ):
        assert workers == 2
        tasks = tasks_of(store, files_in([folder]))
        assert {done.kept for done in keep_all(store, tasks, Crew(pool, workers, TOOLS))} == {"added"}
        assert list(export_lines(store)) == expected


def test_a_scheduler_that_does_not_answer_is_told(monkeypatch):
    pytest.importorskip("distributed")
    monkeypatch.setattr("pipeline.shelf.executors._REACH_SECONDS", 0.2)
    with (
        pytest.raises(StillroomError, match="no scheduler answers"),
        executor_of(workers=1, scheduler="tcp://127.0.0.1:9"),
    ):
        pass


def test_the_words_for_food_are_written_once(tmp_path):
    with writing(tmp_path / "x.shelf", make=True) as store:
        assert refresh(store)
        assert not refresh(store)
        store.run("UPDATE fact SET value = 'older'")
        assert refresh(store)
        assert store.one("SELECT count(*) FROM food_word WHERE word IN ('dairy', 'nuts', 'salmon', 'salmons')") >= 3


def test_every_group_word_stands_for_some_food_and_overlaps_nothing_else(tmp_path, worded):
    with reading(worded) as store:
        for row in load_groups():
            foods = "SELECT count(*) FROM sense_food JOIN food_word USING (sense) WHERE word = ? AND inside = ?"
            assert store.one(foods, (row.word, int(row.inside))) > 0, row
