"""The tables as this release uses them. `migrations/` creates them; a test checks that both agree."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    text,
)

metadata = MetaData()
_PLACE = BigInteger().with_variant(Integer, "sqlite")  # in SQLite an integer key is the row's own
_BY_BYTES = String(90).with_variant(String(90, collation="C"), "postgresql")  # in SQLite text is compared so anyhow

counters = Table(
    "counters",
    metadata,
    Column("series", String(20), primary_key=True, comment="what is counted, for example Q-2026"),
    Column("last", Integer, CheckConstraint("last > 0"), nullable=False),
)

quotes = Table(
    "quotes",
    metadata,
    Column("id", String(36), primary_key=True, comment="UUID version 7: ordered by time, not to be guessed"),
    Column("number", String(20), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("status", String(20), nullable=False),
    Column("created_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("issued_on", String(10), nullable=False),
    Column("valid_until", String(10), nullable=False),
    Column("currency", String(3), nullable=False),
    Column("payable", String(24), comment="decimal text; empty where nothing could be priced"),
    Column("catalogue_version", String(80), nullable=False),
    Column("price_version", String(80), nullable=False),
    Column("checksum", String(80), nullable=False, comment="sha256:... of the canonical form without status and checksum"),
    Column("document", LargeBinary, nullable=False, comment="gzip of what the engine said, as it was said"),
    Column("request", LargeBinary, nullable=False, comment="gzip of the body as received"),
    Column("standing", LargeBinary, comment="JSON of what became of it since; empty where a migration could not read the document"),
    Column("standing_version", Integer, nullable=False, server_default="0", comment="how often that changed"),
    Column("key", String(80), comment="name of the key that issued it; empty where it was not by a key"),
    Column("link_generation", Integer, nullable=False, server_default="0", comment="how often the links to it were ended"),
    Index("quotes_number_revision", "number", "revision", unique=True),
    Index("quotes_valid_until", "valid_until", "id"),
)

quote_entries = Table(
    "quote_entries",
    metadata,
    Column("place", _PLACE, primary_key=True, autoincrement=False, comment="order of finding: day of issue, then moment of making"),
    Column("quote_id", String(36), ForeignKey("quotes.id"), nullable=False, unique=True),
    Column("number", String(20), nullable=False),
    Column("status", String(20), nullable=False),
    Column("valid_until", String(10), nullable=False),
    Column("amount", BigInteger, nullable=False, comment="what is to be paid, in thousandths; -1 where nothing could be priced"),
    Column("customer", Text),
    Column("boat", Text),
    Column("reference", Text),
    Column("email", Text, comment="without case and accents"),
    Column("key", String(80), comment="name of the key that issued it; empty where it was not by a key"),
    Column("ready_to_cut", Integer, nullable=False, comment="how many assemblies are so now"),
    Column("confirm", Integer, nullable=False),
    Column("hold", Integer, nullable=False),
    Column("asks", Integer, nullable=False, comment="1 where a finding asks something that is not settled"),
    Column("questions", Integer, nullable=False, comment="1 where the customer asked something that is not answered"),
    Column("uncut", Integer, nullable=False, comment="1 where something is ready to cut that is not cut"),
    Column("words", Text, nullable=False, comment="without case and accents, each with a space and its field's letter before it"),
    Column("tags", Text, nullable=False, comment="the words of the assemblies' tags, each with a space before it"),
    Column("failed", Integer, nullable=False, server_default="0", comment="1 where a finished piece failed its last check"),
    Column("currency", String(3), comment="empty where it was not noted for counting, nor what the quote asked"),
    Index("quote_entries_valid_until", "valid_until", "place"),
    Index("quote_entries_amount", "amount", "place"),
)

quote_terms = Table(
    "quote_terms",
    metadata,
    Column("term", _BY_BYTES, primary_key=True, comment="a field's letter and a word, or a state"),
    Column("place", _PLACE, primary_key=True, autoincrement=False, comment="of the entry that it leads to"),
    sqlite_with_rowid=False,
)

quote_counts = Table(
    "quote_counts",
    metadata,
    Column("day", String(10), primary_key=True, comment="of issue"),
    Column("status", String(20), primary_key=True),
    Column("valid_until", String(10), primary_key=True, comment="of those issued; for all others nothing"),
    Column("currency", String(3), primary_key=True, comment="nothing where the entry has none"),
    Column("quotes", BigInteger, nullable=False),
    Column("millions", BigInteger, nullable=False, comment="whole millions of the amounts: no sum of them is beyond what is counted"),
    Column("rest", BigInteger, nullable=False, comment="what the amounts are beyond millions, in thousandths"),
    Column("ready_to_cut", BigInteger, nullable=False),
    Column("confirm", BigInteger, nullable=False),
    Column("hold", BigInteger, nullable=False),
    sqlite_with_rowid=False,
)

editions = Table(
    "editions",
    metadata,
    Column("catalogue_version", String(80), primary_key=True),
    Column("price_version", String(80), primary_key=True),
    Column("stored_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("content", LargeBinary, nullable=False, comment="gzip of a JSON object, file name to text"),
    Column("accepted", Text, comment="the file of accepted doubts, with who and why; empty where nothing was accepted"),
    Column("name", String(300), comment="as the tables call themselves; empty where a migration could not read it"),
    Column("key", String(80), comment="name of the key it was sent with; empty where it was not by a key"),
    Column("draft", Integer, nullable=False, server_default="0", comment="1 while nothing but its sending has used it"),
)

shelf = Table(
    "shelf",
    metadata,
    Column("id", String(120), primary_key=True, comment="the shop's own name of a spool, opened spool or offcut"),
    Column("wire", String(120), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("length", String(40), nullable=False, comment="decimal text, mm"),
    Column("price", String(40), comment="decimal text, of one whole object"),
    Column("price_per_metre", String(40), comment="decimal text"),
    Column("count", Integer, CheckConstraint("count > 0"), nullable=False),
    Column("touch", String(40), comment="decimal text; empty for the shop's usual amount"),
    Column("source", String(300), nullable=False),
)

shelf_version = Table(
    "shelf_version",
    metadata,
    Column(
        "place",
        Integer,
        CheckConstraint("place = 1"),
        primary_key=True,
        autoincrement=False,
        comment="there is one row, once anything moved",
    ),
    Column("version", Integer, nullable=False),
)

movements = Table(
    "movements",
    metadata,
    Column("id", String(36), primary_key=True, comment="UUID version 7"),
    Column("occurred_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("type", String(20), nullable=False, comment="take, reversal or count"),
    Column("plan_id", String(36), ForeignKey("cutting_plans.id")),
    Column("reversed", Integer, nullable=False, comment="1 where a later movement put it back"),
    Column("document", LargeBinary, nullable=False, comment="gzip of the movement as answered"),
    Index("movements_plan", "plan_id"),
)

cutting_plans = Table(
    "cutting_plans",
    metadata,
    Column("id", String(36), primary_key=True, comment="UUID version 7"),
    Column("created_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column(
        "quote_id", String(36), ForeignKey("quotes.id"), unique=True, comment="the quote it was issued with; empty for a plan of its own"
    ),
    Column("of_quote", String(36), ForeignKey("quotes.id"), comment="the quote whose own plan it is"),
    Column("basis", String(200), comment="shelf, tables and day that a quote's own plan was made with"),
    Column("document", LargeBinary, nullable=False, comment="gzip of the plan with its real cost, as it was said"),
    Column("summary", LargeBinary, comment="gzip of what a list says of it; empty where a migration could not read the plan"),
    Index("cutting_plans_of_quote", "of_quote"),
)

taken_plans = Table(
    "taken_plans",
    metadata,
    Column("day", String(10), primary_key=True, comment="UTC, on which it was taken; one that was put back has no row"),
    Column("plan_id", String(36), ForeignKey("cutting_plans.id"), primary_key=True),
    *(
        Column(name, BigInteger, comment=f"{what}, in thousandths of a mm; empty where a migration could not read the plan")
        for name, what in (
            ("pieces", "cut as pieces"), ("allowances", "lost in cuts"), ("scrap", "thrown away"), ("kept", "back on the shelf"),
            ("customers", "remnants of customers"),
        )
    ),
    sqlite_with_rowid=False,
)  # fmt: skip

cut_quotes = Table(
    "cut_quotes",
    metadata,
    Column("day", String(10), primary_key=True, comment="UTC, on which the plan was taken"),
    Column("quote_id", String(36), ForeignKey("quotes.id"), primary_key=True),
    Column("plan_id", String(36), ForeignKey("cutting_plans.id"), primary_key=True),
    Column(
        "priced", BigInteger, comment="wire that it charges as waste, in thousandths of a mm; empty where a migration could not read it"
    ),
    sqlite_with_rowid=False,
)

editions_in_force = Table(
    "editions_in_force",
    metadata,
    Column("change", Integer, primary_key=True, autoincrement=False, comment="from 1; two who put at once want the same, and one has it"),
    Column("catalogue_version", String(80), nullable=False),
    Column("price_version", String(80), nullable=False),
    Column("from_day", String(10), nullable=False, comment="of the shop; empty where it was put before days were kept"),
    Column("put_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("means", String(10), nullable=False, comment="start or person"),
    Column("by", String(120), comment="as said; empty where nobody was named"),
    Column("words", Text),
    Column("key", String(80), comment="name of the key it was done with; empty where it was not by a key"),
    Index("editions_in_force_from_day", "from_day", "change"),
)

events = Table(
    "events",
    metadata,
    Column("quote_id", String(36), ForeignKey("quotes.id"), primary_key=True),
    Column("sequence", Integer, primary_key=True, autoincrement=False, comment="from 1 within a quote; its issue is not among them"),
    Column("occurred_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("type", String(40), nullable=False, comment="such as quote.accepted"),
    Column("by", String(120), comment="as said; empty where nobody was named"),
    Column("note", Text),
    Column("key", String(80), comment="name of the key it was done with; empty where it was not by a key"),
)

as_built = Table(
    "as_built",
    metadata,
    Column("id", String(36), primary_key=True, comment="UUID version 7"),
    Column("quote_id", String(36), ForeignKey("quotes.id"), nullable=False),
    Column("document", LargeBinary, nullable=False, comment="gzip of the record as answered"),
    Index("as_built_quote", "quote_id", "id"),
)

api_keys = Table(
    "api_keys",
    metadata,
    Column("id", String(12), primary_key=True, comment="the part of a key that may be seen"),
    Column("kind", String(12), nullable=False),
    Column("name", String(80), nullable=False),
    Column("owner", String(12), nullable=False, comment="id of the first key of a line of rotations: whose replays and limits these are"),
    Column("digest", String(64), nullable=False, comment="SHA-256 of the key, hexadecimal; the key itself is not kept"),
    Column("scopes", String(200), nullable=False, comment="with spaces between them"),
    Column("origins", Text, nullable=False, comment="with spaces between them; a publishable key works from no other"),
    Column("created_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("revoked_at", String(32), comment="RFC 3339, UTC: from when on it is refused"),
    Column("last_used", String(10), comment="a day, UTC"),
    Column("ended", Integer, comment="generation of the keys since which it is refused, whatever a clock says"),
)

link_secrets = Table(
    "link_secrets",
    metadata,
    Column("id", String(12), primary_key=True),
    Column("secret", LargeBinary, nullable=False, comment="what links are signed with; empty once withdrawn"),
    Column("created_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("withdrawn_at", String(32), comment="RFC 3339, UTC"),
)

staff = Table(
    "staff",
    metadata,
    Column("id", String(12), primary_key=True),
    Column("name", String(80), nullable=False, comment="of one of the shop's people, who signs in at the desk"),
    Column("role", String(12), nullable=False),
    Column("created_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("ended_at", String(32), comment="RFC 3339, UTC: since when they cannot sign in"),
)

sign_in_links = Table(
    "sign_in_links",
    metadata,
    Column("digest", String(64), primary_key=True, comment="SHA-256 of the link's secret, hexadecimal"),
    Column("person", String(12), ForeignKey("staff.id"), nullable=False),
    Column("until", Float, nullable=False, comment="seconds since 1970"),
    Column("made_by", String(12), ForeignKey("staff.id"), comment="who made it at the desk; empty where a command did"),
    Index("sign_in_links_person", "person"),
)

desk_sessions = Table(
    "desk_sessions",
    metadata,
    Column("digest", String(64), primary_key=True, comment="SHA-256 of the cookie, hexadecimal"),
    Column("id", String(12), nullable=False, unique=True, comment="the part of a session that may be seen"),
    Column("person", String(12), ForeignKey("staff.id"), nullable=False),
    Column("created_at", Float, nullable=False, comment="seconds since 1970"),
    Column("seen_at", Float, nullable=False, comment="seconds since 1970, to within some minutes"),
    Column("language", String(2), comment="as chosen; empty for that of the browser"),
    Index("desk_sessions_person", "person"),
)

answers = Table(
    "answers",
    metadata,
    Column("owner", String(80), primary_key=True, comment="whose key it is: owner of an API key, or of a link"),
    Column("key", String(255), primary_key=True, comment="the Idempotency-Key"),
    Column("fingerprint", String(64), nullable=False, comment="SHA-256 of method, address and body"),
    Column("claim", String(32), nullable=False, comment="which request carries it out"),
    Column("until", Float, nullable=False, comment="seconds since 1970: then a running request has lost it, and an answer is forgotten"),
    Column("status", Integer, comment="empty while the request runs"),
    Column("headers", Text, comment="JSON, pairs of name and value"),
    Column("body", LargeBinary, comment="gzip of the body as answered"),
    Column("holder", String(120), comment="the process that carries it out; empty where it cannot be told"),
    Index("answers_until", "until"),
)

batches = Table(
    "batches",
    metadata,
    Column("id", String(36), primary_key=True, comment="UUID version 7"),
    Column("kind", String(12), nullable=False, comment="quotes or requotes"),
    Column("source", String(12), nullable=False, comment="ndjson, csv, json or stored"),
    Column("state", String(12), nullable=False, comment="receiving, waiting, running, completed or cancelled"),
    Column("created_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("total", Integer, CheckConstraint("total >= 0"), nullable=False),
    Column("catalogue_version", String(80), nullable=False, comment="the tables that all of it is quoted with"),
    Column("price_version", String(80), nullable=False),
    Column("columns", Text, comment="JSON: the names of a CSV file's columns"),
    Column("touched", Float, nullable=False, comment="seconds since 1970: last received or worked on"),
    Column("begun", Float, comment="seconds since 1970"),
    Column("ended", Float, comment="seconds since 1970"),
    Column("summary", LargeBinary, comment="gzip of the fleet's summary, once asked for"),
    Index("batches_state", "state", "touched"),
)

batch_chunks = Table(
    "batch_chunks",
    metadata,
    Column("batch_id", String(36), ForeignKey("batches.id"), primary_key=True),
    Column("first", Integer, primary_key=True, autoincrement=False, comment="place of its first line, from 0"),
    Column("count", Integer, CheckConstraint("count > 0"), nullable=False),
    Column("state", String(10), nullable=False, comment="todo, working, done or cancelled"),
    Column("attempts", Integer, nullable=False, comment="how often it was begun"),
    Column("holder", String(32), comment="who works on it"),
    Column("process", String(120), comment="the process that does; empty where it cannot be told"),
    Column("renewals", Integer, comment="how often it was said since that it is still worked on"),
    Column("ended", Float, comment="seconds since 1970"),
    Column("succeeded", Integer, nullable=False),
    Column("failed", Integer, nullable=False),
    Index("batch_chunks_state", "state", "batch_id", "first"),
)

batch_lines = Table(
    "batch_lines",
    metadata,
    Column("batch_id", String(36), ForeignKey("batches.id"), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False, comment="from 0, in the order of the file"),
    Column("name", String(120), comment="the sender's own id of the line"),
    Column("number", Integer, nullable=False, comment="line of the file, or row of a sheet, from 1"),
    Column("rows", Text, comment="JSON: the row of each assembly, of a sheet"),
    Column("request", LargeBinary, comment="gzip of the request; empty once there is an outcome"),
    Column("subject", String(36), comment="id of the quote that is quoted again"),
    Column("outcome", String(10), comment="succeeded or failed; empty while it is to do"),
    Column("quote_id", String(36), ForeignKey("quotes.id")),
    Column("said", LargeBinary, comment="gzip of JSON: the quote's head, or the problem"),
    Index("batch_lines_name", "batch_id", "name"),
    Index("batch_lines_quote", "quote_id", unique=True),
)

webhook_endpoints = Table(
    "webhook_endpoints",
    metadata,
    Column("id", String(12), primary_key=True),
    Column("url", Text, nullable=False),
    Column("secret", LargeBinary, nullable=False, comment="what messages are signed with"),
    Column("created_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("removed_at", String(32), comment="RFC 3339, UTC: from when on nothing is sent there"),
    Column("previous", LargeBinary, comment="the secret before, signed with besides"),
    Column("previous_until", Float, comment="seconds since 1970: until then"),
    Column("why", Text, comment="why nothing is sent there any more"),
    Column("event_types", Text, nullable=False, server_default="", comment="with spaces between them"),
)

webhook_messages = Table(
    "webhook_messages",
    metadata,
    Column("id", String(36), primary_key=True, comment="UUID version 7: the message's own, the same at each attempt"),
    Column("endpoint_id", String(12), ForeignKey("webhook_endpoints.id"), nullable=False),
    Column("event", String(40), nullable=False),
    Column("created_at", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column("body", LargeBinary, nullable=False, comment="JSON as it is sent"),
    Column("state", String(10), nullable=False, comment="waiting, delivered or dead"),
    Column("attempts", Integer, nullable=False),
    Column("due", Float, nullable=False, comment="seconds since 1970: when to try next"),
    Column("answer", Text, comment="what came of the last attempt"),
    Column("holder", String(32), comment="who is delivering it"),
    Column("process", String(120), comment="the process that does; empty where it cannot be told"),
    Column("ended", Float, comment="seconds since 1970: delivered or given up"),
    Index("webhook_messages_due", "state", "due"),
    Index("webhook_messages_endpoint", "endpoint_id", "state", "due"),
    Index("webhook_messages_held", "holder", postgresql_where=text("holder IS NOT NULL"), sqlite_where=text("holder IS NOT NULL")),
)

chores = Table(
    "chores",
    metadata,
    Column("name", String(20), primary_key=True),
    Column("reached", String(80), nullable=False, comment="how far it has come, a day or a moment"),
)
