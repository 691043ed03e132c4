from logbook.handover.words import received_rows


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
