"""Photos and notes at the desk: kept beside the book and named in it, for every role its own."""

from __future__ import annotations

import hashlib
import re

import pytest

from caskward.desk.album import Album
from caskward.errors.desk import DeskFolderShut
from caskward.services.book import kept as book
from tests.desk.conftest import ORIGIN, PASSPHRASE
from tests.desk.test_batches import text_of
from tests.desk.test_picture import DRAWN, SECRET, exif, segment, with_segments

BATCH, CASK = "/batches/rye 4/photos", "/casks/3/photos"
KEY = "p" * 24


def send(desk, content: bytes = b"", page: str = BATCH, name: str = "cap.jpg", **fields: str):
    """Send the form of a page as a browser would."""
    about = "batch/rye 4" if page == BATCH else "cask/3"
    data = {"token": desk.token(), "about": about, "key": KEY, "words": "", **fields}
    files = {"photo": (name, content, "image/jpeg")} if content else None
    return desk.browser.post("/photos", data=data, files=files, headers={"origin": ORIGIN})


def srcs(desk, page: str = BATCH) -> list[str]:
    return re.findall(r'<img src="([^"]+)"', desk.browser.get(page).text)


def kept(desk) -> list:
    return sorted((desk.house.settings.folder / "photos").glob("*/*"))


@pytest.mark.parametrize(("page", "ending"), [(BATCH, "jpg"), (BATCH, "png"), (CASK, "webp")])
def test_a_photo_is_kept_shown_and_named_in_the_book(desk, page, ending) -> None:
    answer = send(desk, DRAWN[ending], page, words="cap fallen")
    assert (answer.status_code, answer.headers["location"].replace("%20", " ")) == (303, page)
    said = text_of(desk.browser.get(page))
    assert "cap fallen" in said
    (src,) = srcs(desk, page)
    picture = desk.browser.get(src)
    assert picture.content == DRAWN[ending]
    kinds = {"jpg": "image/jpeg", "png": "image/png", "webp": "image/webp"}
    assert picture.headers["content-type"] == kinds[ending]
    assert picture.headers["x-content-type-options"] == "nosniff"
    assert picture.headers["content-disposition"].startswith("inline; filename=")
    assert "sandbox" in picture.headers["content-security-policy"]
    (entry,) = desk.house.book.to_read().newest(limit=1)
    assert entry.details["photo"]["sha256"] == hashlib.sha256(DRAWN[ending]).hexdigest()
    assert (entry.kind, entry.note) == ("noted", "cap fallen")


def test_where_it_was_taken_is_not_kept(desk) -> None:
    send(desk, with_segments(segment(0xE1, exif(6))))
    (src,) = srcs(desk)
    assert SECRET not in desk.browser.get(src).content
    assert not any(SECRET in path.read_bytes() for path in kept(desk))


def test_it_lies_under_a_random_name_for_its_owner_alone(desk) -> None:
    send(desk, DRAWN["jpg"], name="../../evil.html")
    assert all(re.fullmatch(r"[0-9a-f]{32}\.(jpg|json)", path.name) for path in kept(desk))
    assert all(path.stat().st_mode & 0o777 == 0o600 for path in kept(desk))


def test_words_alone_are_a_note_of_the_batch(desk) -> None:
    send(desk, words="smells of bread", stage="ferment")
    said = text_of(desk.browser.get(BATCH))
    assert "smells of bread" in said
    assert "Ferment ·" in said
    assert "smells of bread" in text_of(desk.browser.get("/batches/rye 4"))


def test_notes_of_other_entries_stand_there_too(desk) -> None:
    assert "Nosed and tasted." in text_of(desk.browser.get(CASK))


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"<script>alert(1)</script>", "no JPEG, PNG or WebP"),
        (DRAWN["jpg"][:-40], "not whole"),
        (b"", "nothing to keep"),
    ],
)
def test_what_is_no_photo_is_refused_with_its_words_kept(desk, content, why) -> None:
    before = desk.house.book.newest()
    answer = send(desk, content, words="" if not content else "my words")
    assert answer.status_code == 422
    assert why in text_of(answer)
    assert not content or 'value="my words"' in answer.text
    assert (desk.house.book.newest(), kept(desk)) == (before, [])


def test_sent_twice_it_is_kept_once(desk) -> None:
    for _ in range(2):
        assert send(desk, DRAWN["jpg"], words="once").status_code == 303
    assert len(kept(desk)) == 2, "the picture and its note"
    assert len(srcs(desk)) == 1


def test_more_than_a_photo_is_not_read(desk, make_desk) -> None:
    most = desk.house.settings.most_photo_bytes
    answer = send(desk, DRAWN["jpg"] + b"\0" * most)
    assert answer.status_code == 413
    assert kept(desk) == []
    elsewhere = desk.browser.post(
        "/record",
        data={"token": desk.token()},
        files={"photo": ("a.jpg", b"\0" * 200_000)},
        headers={"origin": ORIGIN},
    )
    assert elsewhere.status_code == 413, "every other form keeps its own limit"


def test_no_other_form_takes_a_file(desk) -> None:
    answer = desk.browser.post(
        "/record",
        data={"token": desk.token()},
        files={"photo": ("a.jpg", DRAWN["jpg"])},
        headers={"origin": ORIGIN},
    )
    assert answer.status_code in (400, 413)


def test_so_many_and_no_more(desk, monkeypatch) -> None:
    monkeypatch.setattr("caskward.desk.album.MOST_OF_ONE", 2)
    for n in range(2):
        assert send(desk, DRAWN["png"], key=f"{n}" * 24).status_code == 303
    answer = send(desk, DRAWN["png"], key="3" * 24)
    assert answer.status_code == 422
    assert "no more are kept" in text_of(answer)


@pytest.mark.parametrize(
    "path",
    ["/photos/../people.json", "/photos/%2e%2e/people.json", f"/photos/{'a' * 24}/{'b' * 32}.jpg",
     f"/photos/{'a' * 24}/..%2f..%2fsecret.jpg", f"/photos/{'a' * 24}/{'b' * 32}.html"],
)  # fmt: skip
def test_no_path_leads_elsewhere(desk, path) -> None:
    assert desk.browser.get(path).status_code == 404


def test_a_json_beside_a_picture_is_not_served(desk) -> None:
    send(desk, DRAWN["jpg"])
    (src,) = srcs(desk)
    assert desk.browser.get(src.replace(".jpg", ".json")).status_code == 404


def test_a_photo_of_nothing_leads_nowhere(desk) -> None:
    for about in ("batch/nope", "cask/nope", "vessel/tub 1", ""):
        assert send(desk, DRAWN["jpg"], about=about).status_code == 404
    assert kept(desk) == []


def test_a_spoilt_note_does_not_spoil_the_page(desk) -> None:
    send(desk, DRAWN["jpg"], words="good one")
    folder = kept(desk)[0].parent
    (folder / f"{'c' * 32}.json").write_text("{not json")
    assert "good one" in text_of(desk.browser.get(BATCH))


# Roles -------------------------------------------------------------------------------------------


def test_a_reader_looks_a_helper_keeps_a_maker_takes_away(lan_desk) -> None:
    lan_desk.sign_in("Wren", PASSPHRASE)
    assert 'name="photo"' not in lan_desk.browser.get(BATCH).text
    assert send(lan_desk, DRAWN["jpg"]).status_code == 403
    lan_desk.browser = lan_desk.make_browser()
    lan_desk.sign_in("Jory", PASSPHRASE)
    assert send(lan_desk, DRAWN["jpg"], words="by Jory").status_code == 303
    (item,) = Album(lan_desk.house.settings.folder).of("batch/rye 4")
    fields = {"about": "batch/rye 4", "id": item.id}
    assert "Take away" not in lan_desk.browser.get(BATCH).text
    assert lan_desk.send("/photos/remove", fields).status_code == 403
    assert len(kept(lan_desk)) == 2
    lan_desk.browser = lan_desk.make_browser()
    lan_desk.sign_in("Maud", PASSPHRASE)
    assert lan_desk.send("/photos/remove", fields).status_code == 303
    assert kept(lan_desk) == []
    (entry,) = lan_desk.house.book.to_read().newest(limit=1)
    assert (entry.author, entry.note) == ("Maud", f"The photo of entry {item.number} was taken away.")
    assert "by Jory" in text_of(lan_desk.browser.get(BATCH)), "its words stay in the book"
    refused = (lan_desk.house.settings.folder / "refused.log").read_text()
    assert refused.count("NotYourRole") == 2


def test_nobody_signed_in_sees_no_photo(lan_desk) -> None:
    lan_desk.sign_in("Jory", PASSPHRASE)
    send(lan_desk, DRAWN["jpg"])
    (src,) = srcs(lan_desk)
    stranger = lan_desk.make_browser()
    assert stranger.get(src).status_code == 303
    assert (
        stranger.post(
            "/photos", files={"photo": ("a.jpg", DRAWN["jpg"])}, headers={"origin": ORIGIN}
        ).status_code
        == 401
    )


def test_a_page_elsewhere_keeps_nothing(desk) -> None:
    data = {"token": desk.token(), "about": "batch/rye 4", "key": KEY, "words": "from elsewhere"}
    answer = desk.browser.post("/photos", data=data, headers={"origin": "http://elsewhere.example"})
    assert answer.status_code == 403
    data["token"] = "guessed"
    assert desk.browser.post("/photos", data=data, headers={"origin": ORIGIN}).status_code == 403


# A desk that stops at a bad moment ---------------------------------------------------------------


@pytest.mark.parametrize("fails_at", [1, 2])
def test_a_photo_that_the_book_names_is_never_lost_from_view(desk, monkeypatch, fails_at) -> None:
    note, calls = Album.note, []

    def stops(album, about, item) -> None:
        calls.append(item)
        if len(calls) == fails_at:
            raise DeskFolderShut("photos", "the disk is full")
        note(album, about, item)

    before = desk.house.book.newest()
    with monkeypatch.context() as patch:
        patch.setattr(Album, "note", stops)
        answer = send(desk, DRAWN["jpg"], words="the cap")
    entered = desk.house.book.newest() > before
    assert entered == (fails_at == 2), "nothing is in the book that has no note beside it"
    assert entered or kept(desk) == []
    assert answer.status_code == (303 if entered else 422)
    assert len(srcs(desk)) == (1 if entered else 0)
    assert send(desk, DRAWN["jpg"], words="the cap").status_code == 303
    assert len(srcs(desk)) == 1
    (item,) = Album(desk.house.settings.folder).of("batch/rye 4")
    assert item.number == before + 1


def test_all_of_them_together_take_so_much_and_no_more(desk, monkeypatch) -> None:
    monkeypatch.setattr("caskward.desk.album.MOST_BYTES", 100)
    assert send(desk, DRAWN["png"]).status_code == 303
    answer = send(desk, DRAWN["png"], key="2" * 24)
    assert answer.status_code == 422
    assert "Take some away first" in text_of(answer)


def test_in_a_book_brought_back_no_photo_stands_beside_another_entry_s_words(desk, tmp_path) -> None:
    before, after = str(tmp_path / "before.sqlite"), str(tmp_path / "after.sqlite")
    book.back_up(before)
    send(desk, DRAWN["jpg"], words="cap fallen")
    book.back_up(after)
    book.restore(before, overwrite=True)
    desk.send("/record", {"verb": "note", "words": "the lid was open", "batch": "rye 4", "key": "n" * 24})
    assert srcs(desk) == []
    assert "the lid was open" in text_of(desk.browser.get(BATCH))
    book.restore(after, overwrite=True)
    assert len(srcs(desk)) == 1
    assert "cap fallen" in text_of(desk.browser.get(BATCH))
