from logbook.handover.words import CUSTODY, FORMS, PACKED, WORK_KEPT, handed_rows, received_rows


def test_a_received_record_is_told_in_labels_and_values() -> None:
    received = {
        "owner": "Farholm Air", "made_at": "2026-11-25T10:00:00Z", "counts": {"runs": 3, "part_limits": 0},
        "package_sha256": "ab", "origin": "ledger/1", "size": 9, "root": "cd", "key": "ledger/1+00+AA",
    }  # fmt: skip
    assert received_rows(received) == [
        ("Handed over by", "Farholm Air"),
        ("Packed", "2026-11-25T10:00:00Z"),
        ("In it", "part limits: 0, runs: 3"),
        ("Package, SHA-256", "ab"),
        ("Their ledger", "ledger/1, 9 entries, root cd"),
        ("Their key", "ledger/1+00+AA"),
    ]


def test_who_received_it_how_it_was_checked_and_what_came_back_is_told_where_the_entry_says_so() -> None:
    received = {
        "by": "Test Director for Farholm Air", "is_key_given": True, "parts_back": ["M-1 7", "B-1 2"],
        "returns": {"entry": 4, "to": "Nearholm Air", "on": "2026-05-20", "is_in_it": True},
    }  # fmt: skip
    rows = dict(received_rows(received))
    assert rows["Received by"] == "Test Director for Farholm Air"
    assert rows["Checked"].endswith("by the key that the owner gave apart from the package")
    assert rows["Parts that came back"] == "M-1 7, B-1 2"
    words = (
        "It was handed over to Nearholm Air on 2026-05-20, by entry 4, with a package which lies in this one as it was."
    )
    assert rows["Came back"] == words
    other = dict(received_rows({"is_key_given": False, "returns": {"to": "Nearholm Air", "on": "2026-05-20"}}))
    assert other["Checked"].endswith("by the key that lies in the package")
    assert other["Came back"].endswith("on 2026-05-20, with a package which does not lie in this one.")


def test_a_record_handed_over_is_told_in_labels_and_values() -> None:
    handed = {
        "to": "Farholm Air", "on": "2026-05-20", "custody": WORK_KEPT, "form": PACKED, "available": "Hangar 2",
        "agreed_by": "Test Buyer", "remarks": "", "counts": {"runs": 3}, "made_at": "2026-05-19T10:00:00Z",
        "package_sha256": "ab", "manifest_sha256": "cd", "seal": "— ledger/1 x", "origin": "ledger/1", "size": 9,
        "root": "ef", "key": "ledger/1+00+AA",
    }  # fmt: skip
    assert handed_rows(handed) == [
        ("Handed over to", "Farholm Air"),
        ("On", "2026-05-20"),
        ("Custody of the records", CUSTODY[WORK_KEPT]),
        ("Agreed by, for the new owner", "Test Buyer"),
        ("Form", FORMS[PACKED]),
        ("Available for inspection", "Hangar 2"),
        ("In it", "runs: 3"),
        ("Packed", "2026-05-19T10:00:00Z"),
        ("Package, SHA-256", "ab"),
        ("Its list of files, SHA-256", "cd"),
        ("Seal over that list", "— ledger/1 x"),
        ("Key", "ledger/1+00+AA"),
        ("Ledger when it was packed", "ledger/1, 9 entries, root ef"),
    ]
