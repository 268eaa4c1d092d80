"""Photos and notes of a batch or a cask: looked at by everybody, kept by a helper, taken away by a maker."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from caskward.desk import batch_parts, deeds, picture
from caskward.desk.album import Album, Item, shelf_of
from caskward.desk.batch_of import record_of
from caskward.desk.cask_pictures import path_of
from caskward.desk.forms import doer_of, for_a_maker, house_of, session_of, takes_a_photo, typed
from caskward.desk.photo_pages import PhotosPage, Snap
from caskward.desk.render import page, units_of
from caskward.desk.screens import BATCHES, CASKS
from caskward.errors import InputError
from caskward.errors.desk import NoSuchPage
from caskward.errors.photos import NoPhotoNoWords
from caskward.services.book import look, photo_notes, words
from caskward.services.book.acting import Doing
from caskward.services.book.photo_notes import Noted

router = APIRouter()
STAGES = (
    ("cook", "Cook"), ("mash", "Mash"), ("ferment", "Ferment"), ("strip", "Strip"),
    ("spirit run", "Spirit run"), ("fill", "Fill"),
)  # fmt: skip
_BATCH, _CASK = "batch/", "cask/"
_POLICY = "default-src 'none'; sandbox"
_NOTES = 30


@router.get("/batches/{name}/photos")
def of_batch(request: Request, name: str) -> Response:
    """Photos and notes of a batch."""
    return _shown(request, f"{_BATCH}{record_of(request, name).name}")


@router.get("/casks/{name}/photos")
def of_cask(request: Request, name: str) -> Response:
    """Photos and notes of a cask."""
    return _shown(request, look.account(house_of(request).book.to_read(), f"{_CASK}{name}", 1).account)


@router.get("/photos/{shelf}/{name}.{ending}")
def photo(request: Request, shelf: str, name: str, ending: str) -> Response:
    """A picture, always as what it was found to be; nothing in it runs."""
    content = album_of(request).file(shelf, name, ending)
    if content is None:
        raise NoSuchPage
    headers = {
        "Content-Disposition": f'inline; filename="caskward-{name[:8]}.{ending}"',
        "Content-Security-Policy": _POLICY,
        "Cache-Control": "private, max-age=3600",
    }
    return Response(content, media_type=picture.KINDS[ending], headers=headers)


@router.post("/photos")
@takes_a_photo
def keep(request: Request) -> Response:
    """Keep a photo with its words, or words alone; sent again with the same key it changes nothing."""
    about = _about(request)
    try:
        _kept(request, about)
    except InputError as error:
        return _shown(request, about, error=str(error), status=422)
    return RedirectResponse(_page_of(about), 303)


@router.post("/photos/remove")
@for_a_maker
def remove(request: Request) -> Response:
    """Take a photo away; that it was there stays in the book."""
    about, name = _about(request), typed(request, "id")
    album = album_of(request)
    found = next((one for one in album.of(about) if one.id == name), None)
    if found is None:
        raise NoSuchPage
    account = "" if about.startswith(_BATCH) else about
    photo_notes.taken_away(house_of(request).book.to_write(), _doing(request, about), found.number, account)
    album.remove(about, name)
    return RedirectResponse(_page_of(about), 303)


def album_of(request: Request) -> Album:
    """This desk's photos."""
    return Album(house_of(request).settings.folder)


def _kept(request: Request, about: str) -> None:
    sent: bytes = getattr(request.state, "photo", b"")
    said = typed(request, "words")
    if not sent and not said:
        raise NoPhotoNoWords
    album = album_of(request)
    album.check_room(about)
    found = picture.picture(sent) if sent else None
    name, digest = album.put(about, found) if found else (deeds.new_key().ljust(32, "0"), "")
    stage = typed(request, "stage") if typed(request, "stage") in dict(STAGES) else ""
    sizes = (found.ending, found.wide, found.high) if found else ("", 0, 0)
    item = Item(name, 0, stage, *sizes, digest, typed(request, "key"))
    account = "" if about.startswith(_BATCH) else about
    beside = {"file": f"{shelf_of(about)}/{name}.{found.ending}", "sha256": digest} if found else {}
    try:
        album.note(about, item)  # before the book names it: a desk that stops between the two finds it again
        done = photo_notes.note(
            house_of(request).book.to_write(), _doing(request, about), said or "A photo.", account, beside
        )
    except InputError:
        album.remove(about, name)
        raise
    if done.repeated:
        album.remove(about, name)
        return
    with suppress(InputError):  # it is in the book by now, and is found by its key
        album.note(about, replace(item, number=done.entry.number))


def _found_again(request: Request, about: str) -> tuple[Item, ...]:
    """Every note of these that this book has, the newest first.

    One whose desk stopped as it was entered gets its number now. In a book that was brought back from a copy
    a number may be another entry's: the key tells.
    """
    book, album = house_of(request).book.to_read(), album_of(request)
    found = []
    for item in album.of(about):
        number = photo_notes.number_of(book, item.key, item.id) if item.key else item.number
        if number and not item.number:
            album.note(about, replace(item, number=number))
        found.append(replace(item, number=number))
    return tuple(sorted((one for one in found if one.number), key=lambda one: (-one.number, one.id)))


def _doing(request: Request, about: str) -> Doing:
    person = session_of(request).person
    return Doing(
        by=person.name if person else "",
        batch=about.removeprefix(_BATCH) if about.startswith(_BATCH) else "",
        key=typed(request, "key"),
        system=units_of(request),
        role=doer_of(request),
    )


def _about(request: Request) -> str:
    """The batch or cask of a form; raises `NoSuchPage` where there is none."""
    given = typed(request, "about")
    if given.startswith(_BATCH):
        return f"{_BATCH}{record_of(request, given.removeprefix(_BATCH)).name}"
    if given.startswith(_CASK):
        return look.account(house_of(request).book.to_read(), given, 1).account
    raise NoSuchPage


def _page_of(about: str) -> str:
    own = batch_parts.path_of(about.removeprefix(_BATCH)) if about.startswith(_BATCH) else path_of(about)
    return f"{own}/photos"


# The page ----------------------------------------------------------------------------------------


def _shown(request: Request, about: str, *, error: str = "", status: int = 200) -> Response:
    is_batch = about.startswith(_BATCH)
    name = about.removeprefix(_BATCH) if is_batch else words.place(about)
    book = house_of(request).book.to_read()
    items = _found_again(request, about)
    numbers = {item.number for item in items}
    data = PhotosPage(
        title=f"Photos and notes of {name}",
        screen=BATCHES.key if is_batch else CASKS.key,
        about=about,
        back=(_page_of(about).removesuffix("/photos"), name[:1].upper() + name[1:]),
        key=deeds.new_key(),
        stages=STAGES if is_batch else (),
        snaps=tuple(_snap(about, item, photo_notes.noted(book, item.number)) for item in items),
        notes=tuple(
            _plain(one) for one in _other_notes(request, about) if one.number not in numbers
        )[:_NOTES],
        words=typed(request, "words") if error else "",
        error=error,
        most_mb=house_of(request).settings.most_photo_bytes // 1_000_000,
    )  # fmt: skip
    return page(request, "photos", data, status=status)


def _other_notes(request: Request, about: str) -> tuple[Noted, ...]:
    """Notes of what was done: of a batch's own entries, of what touched a cask."""
    if about.startswith(_BATCH):
        return photo_notes.notes_of(record_of(request, about.removeprefix(_BATCH)).entries)
    book = house_of(request).book.to_read()
    numbers = sorted({line[0] for line in look.account(book, about, 2 * _NOTES).lines})
    found = (photo_notes.noted(book, number) for number in reversed(numbers))
    return tuple(one for one in found if one and one.words)


def _snap(about: str, item: Item, said: Noted | None) -> Snap:
    src = f"/photos/{shelf_of(about)}/{item.id}.{item.ending}" if item.ending else ""
    return Snap(
        id=item.id, src=quote(src), wide=item.wide, high=item.high, stage=dict(STAGES).get(item.stage, ""),
        words=said.words if said else "", by=said.by if said else "", at=said.at if said else "",
        number=item.number,
    )  # fmt: skip


def _plain(of: Noted) -> Snap:
    return Snap(id="", src="", wide=0, high=0, words=of.words, stage="", by=of.by, at=of.at, number=of.number)
