"""Every statement that changes the workshop, by name: our journal notes names and values, and never statements."""

STATEMENTS: dict[str, str] = {
    "set": "INSERT INTO settings VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
    "put": "INSERT INTO things (id, kind, name, count, paper, note, source, wide, long, changed, words)"
    " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET kind = excluded.kind,"
    " name = excluded.name, count = excluded.count, paper = excluded.paper, note = excluded.note,"
    " source = excluded.source, wide = excluded.wide, long = excluded.long, changed = excluded.changed,"
    " words = excluded.words",
    "body": "INSERT INTO bodies VALUES (?, ?, ?) ON CONFLICT (thing) DO UPDATE SET body = excluded.body,"
    " mark = excluded.mark",
    "count": "UPDATE things SET count = count + ? WHERE id = ?",
    "remove": "DELETE FROM things WHERE id = ?",
    "untag": "DELETE FROM tags WHERE thing = ?",
    "tag": "INSERT OR IGNORE INTO tags VALUES (?, ?)",
    "picture": "INSERT INTO pictures VALUES (?, CAST(? AS BLOB)) ON CONFLICT (thing) DO UPDATE SET png = excluded.png",
    "no picture": "DELETE FROM pictures WHERE thing = ?",
    "one tag off": "DELETE FROM tags WHERE thing = ? AND tag = ?",
    "clear set": "DELETE FROM sets WHERE name = ?",
    "add to set": "INSERT OR IGNORE INTO sets VALUES (?, ?)",
    "know": "INSERT INTO projects VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET name = excluded.name,"
    " path = excluded.path, opened = excluded.opened, kits = excluded.kits, due = excluded.due, done = excluded.done",
    "forget": "DELETE FROM projects WHERE path = ?",
    "run": "INSERT INTO runs (id, project, number, undone, body) VALUES (?, ?, ?, 0, ?)"
    " ON CONFLICT (id) DO UPDATE SET undone = 0, body = excluded.body",
    "run undone": "UPDATE runs SET undone = 1 WHERE id = ?",
    "history": "INSERT INTO history (time, what, project, record, thing, before, after) VALUES (?, ?, ?, ?, ?, ?, ?)",
    "record undone": "UPDATE history SET undone = 1 WHERE record = ?",
    "walked back": "UPDATE history SET undone = 1 WHERE number = ?",
}
