"""The tables and views of what is handled with, as SQL: gear, pallets, joints and ties, lifts, jobs.

Views answer what people ask often, such as which lifts use a sling.
"""

from __future__ import annotations

TABLES = """
-- Slings, shackles, eye bolts, beams and the like, with what their tags say.
create table gear (
  id integer primary key,
  code text not null unique,
  name text not null,
  kind text not null,
  shop integer references shop (id),
  count text,
  own_mass text,
  own_mass_kg real,
  inspection_due text,
  remark text
);

create table gear_rating (
  gear integer not null references gear (id),
  position integer not null,
  legs text,
  up_to text,                      -- angle up to which the rating holds
  hitch text,
  rated text not null,
  rated_kg real not null,
  primary key (gear, position)
) without rowid;

create table pallet (
  id integer primary key,
  code text not null unique,
  name text not null,
  kind text not null,
  shop integer references shop (id),
  own_mass text,
  own_mass_kg real,
  board_limit text,
  board_limit_kg real,
  inspection_due text,
  remark text
);

-- Limits and own masses of movers and fixtures as figures; the texts stand in their own tables.
create table limit_kg (
  kind text not null,              -- mover, fixture
  code text not null,
  what text not null,              -- rated, own mass
  kg real not null,
  primary key (kind, code, what)
) without rowid;

create table joint (
  id integer primary key,
  code text not null unique,
  name text not null,
  within integer references component (id),
  one_side integer references component (id),
  other_side integer references component (id),
  ties_listed text,
  remark text
);

create table tie (
  joint integer not null references joint (id),
  position integer not null,
  code text not null,
  kind text not null,
  what text not null,
  there text,                      -- yes, no; NULL: nobody looked
  count text,
  hidden text,
  under text,
  holds_up_to text,
  holds_up_to_kg real,
  primary key (joint, position)
) without rowid;

-- Points where a hook or a sling may be attached, and their ratings by angle.
create table pick_point (
  component integer not null references component (id),
  position integer not null,
  code text not null,
  name text not null,
  rated_by text,
  primary key (component, position)
) without rowid;

create table pick_point_rating (
  component integer not null references component (id),
  point integer not null,
  position integer not null,
  up_to text not null,
  rated text not null,
  rated_kg real not null,
  primary key (component, point, position)
) without rowid;

create table lift (
  id integer primary key,
  code text not null unique,
  name text not null,
  root integer references component (id),
  mover integer references mover (id),
  other_half text,
  remark text
);

create table lift_gear (
  lift integer not null references lift (id),
  position integer not null,
  gear integer not null references gear (id),
  count text not null,
  used_as text not null,           -- on the hook, sling, link
  primary key (lift, position)
) without rowid;

create table lift_pick (
  lift integer not null references lift (id),
  position integer not null,
  point text not null,
  sling integer references gear (id),
  hitch text,
  primary key (lift, position)
) without rowid;

create table lift_joint (
  lift integer not null references lift (id),
  position integer not null,
  joint integer not null references joint (id),
  primary key (lift, position)
) without rowid;

create table job (
  id integer primary key,
  code text not null unique,
  unit integer references component (id),
  serial text,
  shop integer references shop (id),
  opened_on text not null,
  closed_on text,
  remark text
);

-- Ties out and temporary ties in of a job; what was put in and is not out yet has no `out_on`.
create table job_tie (
  job integer not null references job (id),
  position integer not null,
  joint integer references joint (id),
  tie text not null,
  temporary integer not null,
  what text,
  out_by text,                     -- by when a temporary tie has to be out
  out_on text,
  primary key (job, position)
) without rowid;
"""

VIEWS = """
create view which_lifts_use_this_gear as
  select gear.code as gear, gear.name as gear_name, lift.code as lift, lift.name as lift_name, used_as
  from lift_gear join gear on gear.id = lift_gear.gear join lift on lift.id = lift_gear.lift
  order by gear.code, lift.code;

create view what_still_holds as
  select joint.code as joint, joint.name as joint_name, tie.code as tie, tie.kind, tie.what, tie.there,
    tie.under, tie.holds_up_to_kg
  from tie join joint on joint.id = tie.joint where coalesce(tie.there, 'nobody looked') <> 'no'
  order by joint.code, tie.position;

create view temporary_ties_in as
  select job.code as job, component.code as unit, job.serial, job_tie.tie, job_tie.what, job_tie.out_by
  from job_tie join job on job.id = job_tie.job left join component on component.id = job.unit
  where job_tie.temporary = 1 and job_tie.out_on is null order by job.code, job_tie.position;

create view ratings_of_gear as
  select gear.code as gear, gear.name, gear.kind, legs, up_to, hitch, rated, rated_kg, gear.inspection_due
  from gear_rating join gear on gear.id = gear_rating.gear order by gear.code, gear_rating.position;

create view where_sources_disagree as
  select component.code, component.name, statement.printed, statement.state, statement.gap_low_kg,
    statement.gap_high_kg
  from statement join component on component.id = statement.component
  where statement.verdict = 'disagrees' order by abs(coalesce(statement.gap_low_kg, 0)) desc, component.code;
"""
