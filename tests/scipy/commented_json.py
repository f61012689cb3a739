"""Reads JSON with // and /* */ comments. A key that stands twice in an object is an error."""

import json


def without_comments(text):
    """The text with every comment outside a string replaced by a blank."""
    kept = []
    i = 0
    while i < len(text):
        if text[i] == '"':
            end = i + 1
            while text[end] != '"':
                end += 2 if text[end] == "\\" else 1
            kept.append(text[i : end + 1])
            i = end + 1
        elif text.startswith("//", i):
            end = text.find("\n", i)
            i = len(text) if end < 0 else end
        elif text.startswith("/*", i):
            i = text.index("*/", i + 2) + 2
            kept.append(" ")
        else:
            kept.append(text[i])
            i += 1
    return "".join(kept)


def _object_of(pairs):
    result = dict(pairs)
    if len(result) != len(pairs):
        raise ValueError(f"a key stands twice among {[key for key, _ in pairs]}")
    return result


def loads(text):
    return json.loads(without_comments(text), object_pairs_hook=_object_of)


def load(path):
    with open(path, encoding="utf-8") as file:
        return loads(file.read())
