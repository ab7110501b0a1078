"""The tables of the database file. They are also what the stock table pages show, hence plain names.

Inside, rows are tied by integers; at the edge things go by their `code`, the id of the records. Masses are
REAL kilograms, places metres. NULL means not known or not recorded, never nothing.
"""

from __future__ import annotations

from handling_db.database import handling_schema

VERSION = 13
APPLICATION = 0x48616E64  # "Hand": tells this program's files from other SQLite files

TABLES = """
-- What this file was built from. One row; no clock: the same input gives the same file.
create table built (
  id integer primary key check (id = 1),
  stamp text not null,             -- hash of everything that was read
  version text not null,           -- of the program
  data_date text,                  -- the latest date in the records
  first_unit text not null,        -- the unit the first shop reads first
  demo integer not null,           -- 1 for the invented collection that comes with the program
  counts text not null,            -- how much there is of everything, in words
  closing text not null            -- what the checker compared and what it did not
);

create table source_kind (
  id integer primary key,
  code text not null unique,
  name text not null,
  rank real not null,              -- the most trusted first
  chosen text not null,            -- yes; hint: where nothing is better; last: only as a limit; no
  basis text not null              -- where the usual doubt comes from
);

create table shop (
  id integer primary key,
  code text not null unique,
  name text not null,
  place text,
  first_unit text not null,
  hand_limit text,
  who_to_call text,
  rules text,                      -- one a line
  remark text
);

create table source (
  id integer primary key,
  code text not null unique,
  name text not null,
  kind integer references source_kind (id),
  document text,
  edition text,
  shop integer references shop (id),
  by_whom text,
  day text,
  instrument text,
  step text,
  check_due text,
  review_by text,
  remark text
);

create table component (
  id integer primary key,
  code text not null,              -- unique, by the index below
  name text not null,
  kind text not null,
  also_called text,                -- one a line; also in alias
  part_number text,
  maker text,
  fits text,                       -- models and serials, one a line
  parts_listed text,               -- all, some, nobody looked; NULL for what lists no parts
  height integer not null,         -- longest way down to a part
  datum text,                      -- origin and directions of its own frame
  remark text,
  file text,
  line integer
);

create table alias (
  component integer not null references component (id),
  position integer not null,
  name text not null,
  primary key (component, position)
) without rowid;

-- Parameters with their values in the default build.
create table parameter (
  component integer not null references component (id),
  position integer not null,
  name text not null,
  value text not null,
  unit text not null,
  is_default integer not null,
  meaning text,
  primary key (component, position)
) without rowid;

-- Part lines: this assembly contains so many of that component. In the default build of the parent;
-- a quantity of 0 means the part is absent in that build.
create table usage (
  parent integer not null references component (id),
  child integer not null references component (id),
  line integer not null,           -- place among the part lines of the parent, from 1
  code text,                       -- id of the part line
  quantity real not null,
  written text,                    -- the quantity as written, where it is not a plain whole number
  remark text,
  x_m real, y_m real, z_m real,    -- where the centre of all pieces lies in the parent's frame
  place text,                      -- as written in a table: x, y, z, roll, pitch, yaw
  -- Of a part that is here in another build than its default one: each piece, filled. Else NULL, and the
  -- total of the part holds.
  other_build integer not null default 0,
  each_best_kg real, each_low_kg real, each_high_kg real,
  each_complete integer,
  each_basis text,
  primary key (parent, child, line)
) without rowid;

-- What each source says, the most trusted first, and how it stands against the sum of the parts.
create table statement (
  id integer primary key,
  component integer not null references component (id),
  position integer not null,
  code text,
  printed text not null,
  best_kg real not null, low_kg real not null, high_kg real not null,
  doubt_from text not null,
  step_assumed integer not null,
  columns text,                    -- which of two columns can be the original
  state text not null,
  counts text not null,
  without text not null,
  boundary_known integer not null,
  source integer not null references source (id),
  day text,
  by_whom text,
  derived text,
  serials text,
  build text,
  review_by text,
  chosen integer not null,         -- 0 for what is never added up
  verdict text,
  because text,
  parts_low_kg real, parts_high_kg real,
  gap_low_kg real, gap_high_kg real,
  missing_low_kg real, missing_high_kg real,
  shared text,                     -- what it and the parts it agrees with both rest on, as JSON
  written text                     -- the cells of a table, as JSON, where there are more than figure and unit
);

-- The mass of each component in its default build. State is dry, drained or filled; or every, where a large
-- table lists no fluid and one row stands for the three. Not complete means "at least".
create table total (
  component integer not null references component (id),
  state text not null,
  best_kg real, low_kg real, high_kg real,  -- of the known part; NULL where nothing in it has a mass
  complete integer not null,
  basis text not null,
  from_kind text,                  -- kind of source it comes from, where it is a statement
  half_width_rss_kg real,          -- NULL: worked out when asked
  u_kg real,
  plan_kg real,                    -- the heaviest believable figure, unrounded; NULL while there is none
  why_none text,
  raised_by text,
  chosen text,                     -- which figure somebody chose, who, when and why; NULL where nobody did
  rests text,                      -- JSON: what it rests on beyond its parts; NULL for a plain figure
  x_m real, y_m real, z_m real,    -- centre of gravity in the component's own frame, of the known part
  worked_out integer not null default 0,  -- 0: what is not known about it is listed when asked
  primary key (component, state)
) without rowid;

-- What is not known about a total: parts without a mass, lists that may not be complete, fluid listed
-- further up, pieces without a place, pieces whose centre is taken at their datum.
create table total_unknown (
  component integer not null references component (id),
  state text not null,
  what text not null check (what in ('no mass', 'open list', 'fluid elsewhere', 'no place', 'at datum')),
  position integer not null,
  part integer not null references component (id),
  pieces real not null,
  primary key (component, state, what, position)
) without rowid;

-- Photographs and pages, each content once under its hash; and where they are named.
create table picture (
  name text primary key,
  type text not null,              -- image/jpeg, image/png, image/webp, application/pdf
  content blob not null
) without rowid;

create table component_picture (
  component integer not null references component (id),
  position integer not null,
  picture text references picture (name),  -- NULL: named, but not there or not what its name says
  file text not null,
  caption text not null,
  primary key (component, position)
) without rowid;

-- Pictures that a pick point or a joint names.
create table place_picture (
  kind text not null check (kind in ('pick point', 'joint')),
  place text not null,             -- id of the pick point or the joint
  component integer not null references component (id),  -- whose pick point; the assembly a joint is within
  position integer not null,
  picture text references picture (name),  -- NULL: named, but not there or not what its name says
  file text not null,
  caption text not null,
  primary key (kind, component, place, position)
) without rowid;

-- Photographs of notes, whatever the note is about: a pick point, a joint, a tie.
create table note_picture (
  note text primary key,
  picture text references picture (name),  -- NULL: named, but not there or not what its name says
  file text not null,
  caption text not null
) without rowid;

create table heaviest (
  position integer primary key,
  component integer not null references component (id)
);

create table weighing (
  id integer primary key,
  code text not null unique,
  component integer references component (id),
  readings text not null,
  state text,
  packed text,
  source integer references source (id),
  serial integer,
  day text not null,
  by_whom text not null,
  replaced_by text,
  review_by text,
  remark text
);

create table note (
  id integer primary key,
  code text not null unique,
  kind text not null,
  about_kind text not null,
  about text not null,
  component integer references component (id),  -- it is about, or that its joint, tie or pick point is in
  about_name text not null,
  text text not null,
  hazard text,
  exposed text,
  attitude text,
  state text,
  fits text,
  reading text,
  gear_used text,
  rated text,
  told_by text not null,
  source integer references source (id),
  author text not null,
  shop integer references shop (id),
  day text not null,
  seen text,
  status text not null,
  reason text,
  checked_by text,
  review_by text,
  replaced_by text
);

create table fixture (
  id integer primary key,
  code text not null unique,
  name text not null,
  kind text not null,
  standing text not null,          -- rated, or what is lacking
  rated_load text,
  own_mass text,
  faces text,
  clearance text,
  shop_made text,                  -- yes, no; NULL: nobody looked
  inspection_due text,
  remark text
);

-- Units in hand with temporary ties in: a look-up names them without reading a record.
create table open_job (
  code text primary key,
  unit text not null,              -- code of the component in hand
  serial text not null,            -- empty: not known
  ties text not null,              -- what is in, one a line
  brief text not null              -- the same in a few words
) without rowid;

create table fixture_need (
  fixture integer not null references fixture (id),
  position integer not null,
  component integer not null references component (id),
  act text not null,
  primary key (fixture, position)
) without rowid;

create table fixture_instead (
  fixture integer not null references fixture (id),
  position integer not null,
  what text not null,
  rated text,
  shop integer references shop (id),
  outcome text,
  primary key (fixture, position)
) without rowid;

create table mover (
  id integer primary key,
  code text not null unique,
  name text not null,
  kind text not null,
  rated text,
  rated_note text,
  inspection_due text,
  remark text
);

create table shop_mover (
  shop integer not null references shop (id),
  position integer not null,
  mover integer not null references mover (id),
  primary key (shop, position)
) without rowid;

create table shop_fixture (
  shop integer not null references shop (id),
  position integer not null,
  fixture integer not null references fixture (id),
  primary key (shop, position)
) without rowid;

create table shop_scale (
  shop integer not null references shop (id),
  position integer not null,
  source integer not null references source (id),
  primary key (shop, position)
) without rowid;

-- What the checker and the readers had to say, the gravest first.
create table finding (
  id integer primary key,
  rule text not null,
  verdict text not null,
  about text not null,
  component integer references component (id),
  sentence text not null,
  remedy text not null,
  file text,
  line integer,
  field text,
  gap_low_kg real, gap_high_kg real,
  figures text,                    -- the intervals that were compared, as JSON: name, low, high [kg]
  because_of text                  -- ids of the components whose disagreement explains it, one a line
);

-- Every record as JSON text, so that nothing that was recorded is only in a figure.
create table record (
  id integer primary key,
  kind text not null,
  code text not null,
  unit text not null,              -- code of the first component that it belongs with; empty: with all
  text text not null,
  unique (kind, code)
);
"""
TABLES += handling_schema.TABLES + handling_schema.VIEWS

# Made after the rows are in: one pass each instead of a look-up a row.
INDEXES = f"""
create unique index component_code on component (code);
create index usage_child on usage (child);
create index statement_component on statement (component);
create index statement_source on statement (source);
create index note_component on note (component);
create index record_unit on record (unit);
create index finding_component on finding (component);
create index fixture_need_component on fixture_need (component);
create index total_nobody_knows on total (component)
  where {handling_schema.NOBODY_WEIGHED};
"""

# Words with prefix, tied to the rows they index; and fragments of three letters of components, which only
# find rows. Part numbers and models are there with their signs and without, since nobody knows how they are
# written. Words that begin with one letter are kept together: to gather them when asked takes as long as
# reading every note. It is also kept which notes hold each word as it is spelled, and which words and pieces
# there are in what components go by.
SEARCH = """
create virtual table component_words using fts5 (
  name, also_called, code, part_number, fits,
  content="component", content_rowid="id", tokenize="porter unicode61 remove_diacritics 2", prefix="1"
);
create virtual table note_words using fts5 (
  text, hazard, gear_used, about_name,
  content="note", content_rowid="id", tokenize="porter unicode61 remove_diacritics 2", prefix="1 2 3"
);
create virtual table component_fragments using fts5 (
  fragments, content="", columnsize=0, detail="none", tokenize="trigram"
);
create table component_words_held (word text primary key) without rowid;
create table component_fragments_held (piece text primary key) without rowid;
create table note_words_spelled (
  id integer primary key,
  word text not null,              -- in small letters
  backwards text not null,         -- its letters from the last to the first
  term text not null,              -- as the index of words has it, without endings
  beside integer not null,         -- 0: in the text; 1: in what else is told of the note
  notes integer not null,          -- so many hold it there
  held blob not null               -- which
);
create index note_words_spelled_word on note_words_spelled (word);
create index note_words_spelled_backwards on note_words_spelled (backwards);
create index note_words_spelled_term on note_words_spelled (term);
-- Notes in whose text two words stand side by side that very many hold each.
create table note_words_pairs (
  first integer not null references note_words_spelled (id),
  second integer not null references note_words_spelled (id),
  notes integer not null,
  held blob not null,
  primary key (first, second)
) without rowid;
create virtual table note_words_fragments using fts5 (
  word, content="", columnsize=0, detail="none", tokenize="trigram"
);
create table note_words_counted (
  id integer primary key check (id = 1),
  notes integer not null,
  words integer not null,          -- in all of them
  alike integer not null           -- 1: each word as it is spelled is one word of the index
);
"""

# What of a component is found by fragments; written so that it can be taken out of the index again. A piece
# without a name of its own is called by its id, which is then there once; so are most of a large table.
COMPONENT_FRAGMENTS = """case when name = code and coalesce(part_number, also_called, fits) is null then code
  else code || case when name = code then '' else char(10) || name end
    || coalesce(char(10) || part_number, '') || coalesce(char(10) || also_called, '')
    || coalesce(char(10) || fits, '')
    || case when coalesce(part_number, fits) is null then '' else char(10) || replace(replace(replace(replace(
      coalesce(part_number, '') || char(10) || coalesce(fits, ''), '-', ''), ' ', ''), '.', ''), '/', '')
    end end"""

_LISTED = 20_000  # components: of more, hardly a piece is in no name, and a build would take longer

# Which words and pieces there are in what components go by; looked for anew whenever that changed.
FILL_HELD = tuple(
    statement
    for table, column in (("component_words", "word"), ("component_fragments", "piece"))
    for statement in (
        f"create virtual table temp.{table}_row using fts5vocab (main, {table}, row)",
        f"delete from {table}_held",
        f"insert into {table}_held ({column}) select term from temp.{table}_row "
        f"where (select count(*) from component) <= {_LISTED}",
        f"drop table temp.{table}_row",
    )
)

# How an index of names is filled: words in small pieces that are merged once at the end, since each is there
# once or twice; three letters all at once, since they are few; and what the engine does by itself otherwise.
_FILLED = (("component_words", "automerge", 0, 4), ("component_words", "crisismerge", 1000, 16),
           ("component_words", "hashsize", 1 << 18, 1 << 20),
           ("component_fragments", "hashsize", 1 << 25, 1 << 20))  # fmt: skip
_SET = "insert into {0} ({0}, rank) values ('{1}', {2});\n"

FILL_SEARCH = f"""
{"".join(_SET.format(table, name, filling) for table, name, filling, _ in _FILLED)}
insert into component_words (component_words) values ('rebuild');
insert into note_words (note_words) values ('rebuild');
insert into component_fragments (rowid, fragments)
  select id, {COMPONENT_FRAGMENTS} from component order by id;
insert into component_words (component_words) values ('optimize');
insert into note_words (note_words) values ('optimize');
insert into component_fragments (component_fragments) values ('optimize');
{"".join(_SET.format(table, name, after) for table, name, _, after in _FILLED)}
{"".join(f"{statement};" for statement in FILL_HELD)}
"""
