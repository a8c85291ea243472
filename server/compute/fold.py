"""The merge: many entries about one record, made on phones that had not seen each other, become one record.

A function of the *set* of entries: the order and the repetition of their arrival don't matter.
"""

RETRACT = "retract"  # travels beside `fields` but merges as one of them


def fold(entries: list[dict]) -> dict:
    """What the entries about one record add up to.

    Parameters
    ----------
    entries : list of dict
        Entries as they travel, any order, repeats allowed, all of one record; each with `entry_id`, `replica_id`,
        `n` >= 1 [count], `fields`, `base`, `retract` (may be absent) and `effective_at` [RFC 3339 text in UTC, one
        fixed form, or ms; any one ordered type].

    Returns
    -------
    dict
        `fields` {name: value}, `heads` {name: entry_id that supplies it}, `retracted` bool, `clashes` [names that
        had more than one entry in the running], `running` [entry_ids still in the running for some field].

    Raises
    ------
    Nothing: every set of well-formed entries has a fold.

    Notes
    -----
    Convention of this app (its sync protocol). Per field, an entry is out of the running if another entry about the
    same field names it as `base`, or if its own replica made a later one (`n`). Among those left the later
    `effective_at` wins, then the larger `entry_id`. If a cycle of bases leaves nobody, bases are ignored.

    Examples
    --------
    >>> first = {"entry_id": "a", "replica_id": "p", "n": 1, "fields": {"dose_g": 18}, "base": {}, "effective_at": 5}
    >>> later = {"entry_id": "b", "replica_id": "q", "n": 1, "fields": {"dose_g": 19}, "base": {"dose_g": "a"},
    ...          "effective_at": 4}
    >>> fold([first, later])["fields"]
    {'dose_g': 19}
    """
    rivals: dict[str, dict[str, dict]] = {}
    for entry in entries:
        for name in _names(entry):
            rivals.setdefault(name, {})[entry["entry_id"]] = entry
    heads, clashes, running = {}, [], set()
    for name in sorted(rivals):
        left = in_the_running(name, list(rivals[name].values()))
        heads[name] = max(left, key=lambda entry: (entry["effective_at"], entry["entry_id"]))
        running.update(entry["entry_id"] for entry in left)
        if len(left) > 1:
            clashes.append(name)
    return {
        "fields": {name: entry["fields"][name] for name, entry in heads.items() if name != RETRACT},
        "heads": {name: entry["entry_id"] for name, entry in heads.items()},
        "retracted": bool(heads[RETRACT][RETRACT]) if RETRACT in heads else False,
        "clashes": clashes,
        "running": sorted(running),
    }


def in_the_running(name: str, group: list[dict]) -> list[dict]:
    """The entries about one field that no other entry has replaced.

    Parameters
    ----------
    name : str
        The field. [-]
    group : list of dict
        The entries that set it, without repeats, >= 1. [-]

    Returns
    -------
    list of dict
        At least one of them.

    Raises
    ------
    Nothing.

    Notes
    -----
    Convention of this app; see `fold`.
    """
    newest: dict[str, int] = {}
    for entry in group:
        newest[entry["replica_id"]] = max(newest.get(entry["replica_id"], 0), entry["n"])
    own_latest = [entry for entry in group if entry["n"] == newest[entry["replica_id"]]]
    seen = {(entry.get("base") or {}).get(name) for entry in group}
    return [entry for entry in own_latest if entry["entry_id"] not in seen] or own_latest


def _names(entry: dict) -> list[str]:
    names = list(entry["fields"])
    if entry.get(RETRACT) is not None:
        names.append(RETRACT)
    return names
