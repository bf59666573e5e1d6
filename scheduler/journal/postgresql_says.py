"""What PostgreSQL and its driver say, what it means, and what a keeper can do about it."""

from scheduler.wording.channels.ways import OutcomeKinds
from scheduler.wording.journal.advice import PostgresAdvice
from scheduler.wording.journal.why_unusable import WhyPostgres, WhyUnusable

# The first of these that stands in what they say.
ADVICE = {
    "password authentication failed": (WhyPostgres.wrong_password, PostgresAdvice.look_at_password),
    "no password supplied": (WhyPostgres.no_password, PostgresAdvice.give_password),
    "no pg_hba.conf entry": (WhyPostgres.not_let_in, PostgresAdvice.let_in_nowhere),
    "certificate": (WhyPostgres.not_trusted, PostgresAdvice.look_at_root),
    "does not match host name": (WhyPostgres.not_trusted, PostgresAdvice.look_at_name),
    "server does not support ssl": (WhyPostgres.not_trusted, PostgresAdvice.look_at_mode),
    "does not exist": (WhyPostgres.not_there, PostgresAdvice.make_it),
    "permission denied": (WhyPostgres.missing_rights, PostgresAdvice.own_database),
    "must be owner": (WhyPostgres.missing_rights, PostgresAdvice.own_tables),
    "read-only transaction": (WhyUnusable.read_only, PostgresAdvice.is_copy),
    "invalid connection option": (OutcomeKinds.bad_address, PostgresAdvice.see_guide),
    "invalid uri query parameter": (OutcomeKinds.bad_address, PostgresAdvice.see_guide),
    "lock timeout": (WhyPostgres.locked, PostgresAdvice.wait),
    "no space left": (WhyPostgres.disk_full, PostgresAdvice.make_room),
    "connection refused": (WhyPostgres.away, PostgresAdvice.is_it_running),
    "could not translate host name": (WhyPostgres.away, PostgresAdvice.is_name_right),
    "failed to resolve host": (WhyPostgres.away, PostgresAdvice.is_name_right),
    "starting up": (WhyPostgres.away, PostgresAdvice.starting),
    "shutting down": (WhyPostgres.away, PostgresAdvice.stopping),
    "timeout expired": (WhyPostgres.away, PostgresAdvice.is_network_up),
}
# Nothing mends these but a person.
REFUSED = frozenset(
    {
        WhyPostgres.wrong_password,
        WhyPostgres.missing_rights,
        OutcomeKinds.bad_address,
        WhyPostgres.not_let_in,
        WhyPostgres.not_trusted,
    }
)
# A server may speak another language; these it says in every one.
OF_STATE = {
    "28P01": "password authentication failed",
    "3D000": "does not exist",
    "42501": "permission denied",
    "25006": "read-only transaction",
    "55P03": "lock timeout",
    "53100": "no space left",
}
