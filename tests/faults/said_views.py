"""The diary as tables that a test can ask in a line: closings, jobs done, reports, changes of them.

Temporary views hide the tables of the same names, in which older programs kept what people say;
a journal that has no diary yet is asked as it is.
"""

import sqlite3

_UNDONE = """
    (SELECT min(u.said_at) FROM entry u WHERE u.site_id = e.site_id AND u.takes_back = e.number
     AND NOT EXISTS (SELECT 1 FROM entry v WHERE v.site_id = u.site_id AND v.takes_back = u.number)
    ) AS undone_at,
    (SELECT u.who FROM entry u WHERE u.site_id = e.site_id AND u.takes_back = e.number
     AND NOT EXISTS (SELECT 1 FROM entry v WHERE v.site_id = u.site_id AND v.takes_back = u.number)
    ) AS undone_by
"""
_LAST_SAID = """
    coalesce((SELECT json_extract(c.said, '$.{name}') FROM entry c WHERE c.site_id = e.site_id
     AND c.kind = '{kind}' AND json_extract(c.said, '$.report') = json_extract(e.said, '$.report')
     AND NOT EXISTS (SELECT 1 FROM entry v WHERE v.site_id = c.site_id AND v.takes_back = c.number)
     ORDER BY c.number DESC LIMIT 1), json_extract(e.said, '$.{made}')) AS {made}
"""
_VIEWS = f"""
CREATE TEMP VIEW closing AS SELECT site_id, number, about AS coop_id, day AS evening, who,
    CASE kind WHEN 'door-shut' THEN 'closed' WHEN 'door-reopened' THEN 'reopened'
        WHEN 'died' THEN 'dead' WHEN 'away' THEN 'elsewhere' WHEN 'home-again' THEN 'back'
        WHEN 'stopped-looking' THEN iif(json_extract(said, '$.for_good'), 'given-up', 'not-found')
        ELSE kind END AS kind,
    coalesce(json_extract(said, '$.count'), json_extract(said, '$.birds')) AS count,
    happened_at AS at, said_at AS made_at, {_UNDONE}
    FROM entry e WHERE family = 'door' AND takes_back IS NULL;
CREATE TEMP VIEW done AS SELECT site_id, care_id, about AS subject_id, day, who, {_UNDONE}
    FROM entry e WHERE kind = 'job-done';
CREATE TEMP VIEW report AS SELECT site_id, json_extract(said, '$.report') AS number,
    json_extract(said, '$.kind') AS kind, json_extract(said, '$.grade') AS grade,
    {_LAST_SAID.format(kind="report-ended", name="last", made="last")},
    {_LAST_SAID.format(kind="report-confirmed", name="on", made="confirmed_on")},
    {_UNDONE} FROM entry e WHERE kind = 'report-made';
CREATE TEMP VIEW report_change AS SELECT site_id, who, {_UNDONE}
    FROM entry e WHERE family = 'report' AND kind != 'report-made' AND (takes_back IS NULL
    OR takes_back IN (SELECT number FROM entry WHERE kind = 'report-made'));
"""  # noqa: S608 - names of our own


def show_what_was_said(connection: sqlite3.Connection) -> None:
    """From now on these names are asked of the diary, where there is one."""
    if connection.execute("SELECT 1 FROM main.sqlite_master WHERE name = 'entry'").fetchone():
        connection.executescript(_VIEWS)
