"""A curl command as the pages show it, asked of an application without a network."""

from __future__ import annotations

import shlex

from starlette.testclient import TestClient


def asked_by(browser: TestClient, command: str):
    """What the command would get; a word that is not known here is a mistake of the page.

    As in curl's manual: -d posts, several --data-urlencode go into the address with -G, -s says nothing else.
    """
    words = iter(shlex.split(command.replace("\\\n", " ")))
    assert next(words) == "curl"
    headers, params, body, url, get = {}, {}, None, "", False
    for word in words:
        if word == "-H":
            name, _, value = next(words).partition(":")
            headers[name] = value.strip()
        elif word == "-d":
            body = next(words)
        elif word == "--data-urlencode":
            name, _, value = next(words).partition("=")
            params[name] = value
        elif word == "-G":
            get = True
        elif word != "-s":
            assert not word.startswith("-"), word
            assert not url, word
            url = word
    assert get == bool(params)
    if body is not None:
        return browser.post(url, content=body.encode(), headers=headers)
    return browser.get(url, params=params, headers=headers) if params else browser.get(url, headers=headers)
