"""What is typed is kept, goes on where it was left, and is never written over."""

import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from shop_folder import BENCH, everything, found_or_told

from lightcalc.folder import saving as saving_module
from lightcalc.folder.kept import Work
from lightcalc.folder.place import design_names, read_text
from lightcalc.folder.saving import text_before
from lightcalc.folder.work import (
    ChangedElsewhere,
    keep_both,
    keep_work,
    open_work,
    save_design,
    start_again,
)

NAME = "bench.toml"
ANY_SIGNS = st.text(st.characters(categories=None), max_size=200)


def kept_file(folder, name=NAME):
    return folder / ".lightcalc" / "work" / f"{name}.json"


def aside(folder):
    return sorted((folder / ".lightcalc" / "aside").iterdir())


def typed(work, text, **state):
    """Return the work with more typed at its end."""
    return replace(work, text=f"{work.text}{text}\n", state={**work.state, **state})


def test_work_begins_from_the_design_file(folder):
    work = open_work(folder, NAME)
    assert (work.name, work.text, work.saved, work.good) == (NAME, BENCH, BENCH, "")
    assert work.state == {}
    assert work.stamp
    assert work.notice == ""
    assert not kept_file(folder).exists()


def test_work_goes_on_where_it_was_left_and_the_design_file_waits(folder):
    first = open_work(folder, NAME)
    kept = keep_work(folder, replace(typed(first, "[half", other="text"), good=BENCH))
    assert kept.stamp != first.stamp
    again = open_work(folder, NAME)
    assert again == kept
    assert (again.good, again.saved, again.state) == (BENCH, BENCH, {"other": "text"})
    assert read_text(folder, NAME, 1000) == BENCH


def test_saving_writes_the_design_file_and_keeps_the_one_before(folder):
    work = keep_work(folder, typed(open_work(folder, NAME), "a = 1", other="text"))
    saved = save_design(folder, work)
    assert read_text(folder, NAME, 1000) == work.text == saved.text == saved.saved
    assert text_before(folder, NAME) == BENCH
    assert open_work(folder, NAME) == saved
    assert saved.state == {"other": "text"}
    assert save_design(folder, saved) == saved
    assert text_before(folder, NAME) == BENCH


def test_the_second_tab_is_told_what_the_first_did_and_nothing_is_written(folder):
    one, two = open_work(folder, NAME), open_work(folder, NAME)
    first = keep_work(folder, typed(one, "from one"))
    before = everything(folder)
    for call in (keep_work, save_design, start_again):
        with pytest.raises(ChangedElsewhere) as caught:
            call(folder, typed(two, "from two"))
        assert caught.value.theirs == first
        assert not caught.value.file_changed
        assert "another tab" in str(caught.value)
    assert everything(folder) == before
    # On top of the other's version it is taken.
    both = keep_work(folder, typed(caught.value.theirs, "from two"))
    assert both.text == f"{BENCH}from one\nfrom two\n"


def test_an_old_tab_cannot_bring_back_an_old_text(folder):
    old = open_work(folder, NAME)
    now = old
    for number in range(3):
        now = keep_work(folder, typed(now, f"n = {number}"))
    with pytest.raises(ChangedElsewhere):
        keep_work(folder, old)
    assert open_work(folder, NAME) == now


def test_keeping_what_is_kept_already_writes_nothing(folder):
    begun = open_work(folder, NAME)
    assert keep_work(folder, begun) == begun
    assert not kept_file(folder).exists()
    kept = keep_work(folder, typed(begun, "a = 1"))
    file = kept_file(folder).stat()
    assert keep_work(folder, kept) == kept
    assert kept_file(folder).stat().st_ino == file.st_ino


def test_two_tabs_that_type_the_same_are_two_all_the_same(folder):
    # Each may have meant to add one more.
    mine = typed(open_work(folder, NAME), "a = 1")
    kept = keep_work(folder, mine)
    with pytest.raises(ChangedElsewhere) as caught:
        keep_work(folder, mine)
    assert caught.value.theirs == kept


def test_saving_twice_is_saving_once(folder):
    # As when the button is pressed again before the page has answered.
    work = keep_work(folder, typed(open_work(folder, NAME), "a = 1"))
    saved = save_design(folder, work)
    before = everything(folder)
    assert save_design(folder, work) == saved
    assert everything(folder) == before
    (folder / NAME).unlink()
    with pytest.raises(ChangedElsewhere):
        save_design(folder, work)


def test_keeping_both_goes_on_under_a_new_name(folder):
    one, two = open_work(folder, NAME), open_work(folder, NAME)
    first = keep_work(folder, typed(one, "from one"))
    mine = keep_both(folder, typed(two, "from two", other="text"))
    assert mine.name == "bench 2.toml"
    assert design_names(folder) == ("bench 2.toml", NAME)
    assert open_work(folder, mine.name) == mine
    assert mine.text == mine.saved == read_text(folder, mine.name, 1000) == f"{BENCH}from two\n"
    assert mine.state == {"other": "text"}
    assert open_work(folder, NAME) == first
    assert keep_both(folder, mine).name == "bench 3.toml"


def test_a_copy_of_the_only_version_leaves_the_old_name_as_it_was_saved(folder):
    work = keep_work(folder, typed(open_work(folder, NAME), "more"))
    copy = keep_both(folder, typed(work, "and more"))
    assert copy.text == f"{BENCH}more\nand more\n"
    assert open_work(folder, NAME).text == BENCH
    # A tab that still shows the old work does not write over what the name shows now.
    with pytest.raises(ChangedElsewhere):
        keep_work(folder, typed(work, "late"))


def test_a_new_name_takes_nothing_that_is_there_in_any_capitals(folder):
    (folder / "Bench 2.TOML").write_text("a = 2")
    (folder / "bench 3.toml").mkdir()
    kept_file(folder, "bench 4.toml").write_text("{}")
    before = everything(folder)
    work = open_work(folder, NAME)
    assert keep_both(folder, work).name == "bench 5.toml"
    assert before.items() <= everything(folder).items()


def test_work_on_a_design_whose_file_is_gone_is_still_listed_and_opens(folder):
    work = keep_work(folder, typed(open_work(folder, NAME), "more"))
    (folder / NAME).unlink()
    assert design_names(folder) == (NAME,)
    assert open_work(folder, NAME) == work
    with pytest.raises(Exception, match="no file"):
        start_again(folder, work)
    assert save_design(folder, work).text == read_text(folder, NAME, 1000) == work.text


def test_what_is_typed_is_kept_when_design_and_work_are_both_gone(folder):
    work = keep_work(folder, typed(open_work(folder, NAME), "more"))
    (folder / NAME).unlink()
    kept_file(folder).unlink()
    assert open_work(folder, keep_work(folder, typed(work, "and more")).name).text.endswith(
        "more\nand more\n"
    )


def test_work_with_nothing_unsaved_follows_the_file(folder):
    work = save_design(folder, typed(open_work(folder, NAME), "a = 1", other="text"))
    (folder / NAME).write_text("of an editor")
    with pytest.raises(ChangedElsewhere) as caught:
        keep_work(folder, typed(work, "b = 2"))
    now = open_work(folder, NAME)
    assert now == caught.value.theirs
    assert now.text == now.saved == "of an editor"
    assert now.state == {"other": "text"}
    assert keep_work(folder, typed(now, "b = 2")).text == "of an editorb = 2\n"


def test_a_file_that_another_program_changed_is_not_written_over(folder):
    work = keep_work(folder, typed(open_work(folder, NAME), "mine"))
    (folder / NAME).write_text("of an editor")
    assert open_work(folder, NAME) == work
    # Typing goes on.
    work = keep_work(folder, typed(work, "and more"))
    before = everything(folder)
    with pytest.raises(ChangedElsewhere) as caught:
        save_design(folder, work)
    assert caught.value.file_changed
    assert caught.value.theirs.text == "of an editor"
    assert everything(folder) == before
    # What they are shown as theirs cannot be kept over mine by mistake.
    with pytest.raises(ChangedElsewhere):
        keep_work(folder, caught.value.theirs)


def conflict(folder):
    work = keep_work(folder, typed(open_work(folder, NAME), "mine"))
    (folder / NAME).write_text("of an editor")
    return work


def test_after_a_conflict_both_can_be_kept(folder):
    mine = keep_both(folder, conflict(folder))
    assert read_text(folder, mine.name, 1000) == f"{BENCH}mine\n"
    assert open_work(folder, NAME).text == read_text(folder, NAME, 1000) == "of an editor"


def test_after_a_conflict_theirs_can_be_taken_and_mine_is_set_aside(folder):
    work = conflict(folder)
    now = start_again(folder, work)
    assert now == open_work(folder, NAME)
    assert now.text == now.saved == "of an editor"
    (given_up,) = aside(folder)
    assert json.loads(given_up.read_bytes())["text"] == work.text


def test_after_a_conflict_mine_can_be_saved_knowingly_and_theirs_is_kept(folder):
    work = conflict(folder)
    with pytest.raises(ChangedElsewhere) as caught:
        save_design(folder, work)
    save_design(folder, replace(work, saved=caught.value.theirs.saved))
    assert read_text(folder, NAME, 1000) == work.text
    assert text_before(folder, NAME) == "of an editor"


def test_a_file_that_became_unreadable_stops_saving_but_not_typing(folder, refused):
    work = keep_work(folder, typed(open_work(folder, NAME), "mine"))
    (folder / NAME).write_bytes(b"\xff\xfe")
    assert open_work(folder, NAME) == work
    work = keep_work(folder, typed(work, "more"))
    assert "UTF-8" in refused(save_design, folder, work)
    assert (folder / NAME).read_bytes() == b"\xff\xfe"
    assert keep_both(folder, work).text == work.text


DAMAGED = [
    b"",
    b"{",
    b"\xff\xfe\x00",
    b"null",
    b"[]",
    b"{}",
    b"[" * 100_000,
    b"1" * 10_000,
    b'{"format": 1}',
    b'{"format": 1, "text": "", "good": "", "saved": "", "state": {}}',
    b'{"format": 1, "stamp": "", "text": 3, "good": "", "saved": "", "state": {}}',
    b'{"format": 1, "stamp": "", "text": "", "good": "", "saved": "", "state": {"a": 1}}',
    b'{"format": 1, "stamp": "", "text": "", "good": "", "saved": "", "state": []}',
    b'{"format": 0, "stamp": "", "text": "", "good": "", "saved": "", "state": {}}',
    b'{"format": "9", "stamp": "", "text": "", "good": "", "saved": "", "state": {}}',
    b" " * 4_000_001,
]


@pytest.mark.parametrize("data", DAMAGED, ids=range(len(DAMAGED)))
def test_damaged_work_is_set_aside_and_told_and_the_file_is_opened(folder, data):
    kept_file(folder).write_bytes(data)
    work = open_work(folder, NAME)
    assert work.text == work.saved == BENCH
    assert ".lightcalc/aside" in work.notice
    assert [file.read_bytes() for file in aside(folder)] == [data]
    assert open_work(folder, NAME).notice == ""
    # A second damage does not take the first one's place.
    kept_file(folder).write_bytes(data + b"again")
    open_work(folder, NAME)
    assert sorted(file.read_bytes() for file in aside(folder)) == sorted([data, data + b"again"])
    assert keep_work(folder, typed(work, "more")).notice == ""


def test_a_tab_that_keeps_over_damaged_work_is_told_and_loses_nothing(folder):
    work = keep_work(folder, typed(open_work(folder, NAME), "mine"))
    kept_file(folder).write_bytes(b"{")
    with pytest.raises(ChangedElsewhere) as caught:
        keep_work(folder, typed(work, "more"))
    assert caught.value.theirs.text == BENCH
    assert [file.read_bytes() for file in aside(folder)] == [b"{"]
    assert keep_both(folder, typed(work, "more")).text.endswith("mine\nmore\n")


def test_damaged_work_with_no_design_file_is_set_aside_and_told(folder, refused):
    (folder / NAME).unlink()
    kept_file(folder).write_bytes(b"{")
    assert "could not be read" in refused(open_work, folder, NAME)
    assert [file.read_bytes() for file in aside(folder)] == [b"{"]


def test_damaged_work_in_a_folder_that_cannot_be_written_still_opens(folder, monkeypatch):
    kept_file(folder).write_bytes(b"{")

    def fail(*words, **more):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(saving_module.os, "fsync", fail)
    work = open_work(folder, NAME)
    assert work.text == BENCH
    assert work.notice


def test_work_of_a_newer_version_is_refused_and_not_touched(folder, refused):
    data = json.dumps({"format": 2, "text": [], "more": 1}).encode()
    old = open_work(folder, NAME)
    kept_file(folder).write_bytes(data)
    for call in (
        lambda: open_work(folder, NAME),
        lambda: keep_work(folder, typed(old, "x")),
        lambda: save_design(folder, typed(old, "x")),
        lambda: start_again(folder, old),
    ):
        assert "newer version" in refused(call)
        assert kept_file(folder).read_bytes() == data
        assert read_text(folder, NAME, 1000) == BENCH
    assert design_names(folder) == (NAME,)
    # What was typed meanwhile has a way out.
    assert keep_both(folder, typed(old, "x")).text == f"{BENCH}x\n"
    assert kept_file(folder).read_bytes() == data


def test_a_design_that_is_not_there_is_told(folder, refused):
    assert "not there" in refused(open_work, folder, "other.toml")
    for name in ("../outside.toml", "catalogue.toml", ".lightcalc"):
        refused(open_work, folder, name)
        refused(keep_work, folder, Work(name, "text"))
        refused(save_design, folder, Work(name, "text"))
        refused(keep_both, folder, Work(name, "text"))


def test_too_much_is_refused_and_what_was_kept_stays(folder, refused):
    work = keep_work(folder, typed(open_work(folder, NAME), "mine"))
    assert "4 MB" in refused(keep_work, folder, typed(work, "x" * 4_000_000))
    assert open_work(folder, NAME) == work
    with pytest.raises(TypeError):
        keep_work(folder, replace(work, state={"count": 1}))
    assert open_work(folder, NAME) == work


def test_more_than_a_design_file_holds_is_still_kept_as_work(folder, refused):
    work = keep_work(folder, typed(open_work(folder, NAME), "x" * 300_000))
    assert "200 kB" in refused(save_design, folder, work)
    copy = keep_both(folder, work)
    assert open_work(folder, copy.name).text == work.text
    assert copy.name in design_names(folder)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(text=ANY_SIGNS, good=ANY_SIGNS, state=st.dictionaries(ANY_SIGNS, ANY_SIGNS, max_size=3))
def test_any_text_is_kept_sign_by_sign(folder, text, good, state):
    work = open_work(folder, NAME)
    kept = keep_work(folder, replace(work, text=text, good=good, state=state))
    again = open_work(folder, NAME)
    # Two halves of a sign that meet are that sign.
    as_signs = text.encode("utf-16", "surrogatepass").decode("utf-16", "surrogatepass")
    assert again.text in (text, as_signs)
    assert again.stamp == kept.stamp
    copy = keep_both(folder, kept)
    assert open_work(folder, copy.name).stamp == copy.stamp


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(text=st.text(max_size=200))
def test_a_saved_text_is_the_text_that_is_read(folder, text):
    saved = save_design(folder, replace(open_work(folder, NAME), text=text))
    assert saved.text == saved.saved == read_text(folder, NAME, 10_000) == text.lstrip("\ufeff")
    assert open_work(folder, NAME) == saved


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    data=st.one_of(
        st.binary(max_size=100),
        st.recursive(
            st.none() | st.booleans() | st.integers() | st.text(max_size=5),
            lambda inner: (
                st.lists(inner, max_size=3)
                | st.dictionaries(
                    st.sampled_from(["format", "stamp", "text", "good", "saved", "state"]), inner
                )
            ),
        ).map(lambda body: json.dumps(body).encode()),
    )
)
def test_whatever_the_kept_file_holds_it_opens_or_says_why_not(folder, data):
    kept_file(folder).write_bytes(data)
    work, told = found_or_told(lambda: open_work(folder, NAME))
    event("told" if told else "damaged" if work.notice else "whole")
    if told:
        assert "newer version" in told
    elif work.notice:
        assert data in [file.read_bytes() for file in aside(folder)]
