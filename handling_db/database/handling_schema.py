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

-- Limits and own masses as figures; the texts stand in the tables of the things themselves.
create table limit_kg (
  kind text not null,              -- mover, fixture, packing, shop
  code text not null,
  what text not null,              -- rated, own mass, hand limit
  kg real not null,
  primary key (kind, code, what)
) without rowid;

-- Rows of a truck's plate and of a crane's chart. Nothing is read between two rows.
create table mover_rating (
  mover integer not null references mover (id),
  position integer not null,
  attachment text,                 -- NULL: forks alone, or a crane
  load_centre_m real,              -- of a truck
  height_m real,                   -- lift height of a truck's row; NULL: any that the plate allows
  radius_m real,                   -- of a crane
  boom_m real,
  rated text not null,
  rated_kg real not null,
  primary key (mover, position)
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

-- A job planned in steps; what each step does to whom stands in `record`.
create table job_plan (
  id integer primary key,
  code text not null unique,
  name text not null,
  unit integer references component (id),
  serial text,
  shop integer references shop (id),
  reverse_of text,
  remark text
);

create table job_plan_step (
  plan integer not null references job_plan (id),
  position integer not null,       -- from 1, as people count steps
  code text,
  act text not null,               -- drain, tie out, hook on, part, set down and so on
  what text not null,
  lift integer references lift (id),
  joint integer references joint (id),
  mover integer references mover (id),
  fixture integer references fixture (id),  -- what it rests on afterwards
  primary key (plan, position)
) without rowid;

-- What came in a parcel of another shop, and how far somebody here has looked at it.
create table came_from (
  kind text not null,
  code text not null,
  words text not null,             -- from whom, signed or not, reviewed by whom or not yet
  reviewed integer not null,
  primary key (kind, code)
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

# Of a single piece without a figure of its own; the index of these serves whatever asks in just these words.
# A comparison each: to look for a word in a list of three takes the engine five times as long.
_NOBODY = ("nobody knows", "nobody weighed it; inferred", "nobody weighed it; guessed")
NOBODY_WEIGHED = "(" + " or ".join(f"basis = '{words}'" for words in _NOBODY) + ")"

VIEWS = f"""
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

-- What a piece weighs and is planned with, by name: the first thing asked.
create view how_heavy as
  select component.code, component.name, total.state, total.complete, total.best_kg, total.low_kg,
    total.high_kg, total.plan_kg, total.basis, total.why_none, came_from.words as came
  from total join component on component.id = total.component
  left join came_from on came_from.kind = 'component' and came_from.code = component.code
  order by component.name, total.state;

create view not_yet_reviewed as
  select kind, code, words from came_from where reviewed = 0 order by kind, code;

-- Which steps of planned jobs lift or carry something, with which lift and mover.
create view steps_that_lift as
  select job_plan.code as job_plan, job_plan_step.position as step, act, what, lift.code as lift,
    mover.code as mover
  from job_plan_step join job_plan on job_plan.id = job_plan_step.plan
  left join lift on lift.id = job_plan_step.lift left join mover on mover.id = job_plan_step.mover
  where job_plan_step.lift is not null or job_plan_step.mover is not null
  order by job_plan.code, job_plan_step.position;

-- What nobody weighed and nothing bounds: it may be as heavy as it likes.
create view nobody_weighed as
  select component.code, component.name, component.kind, total.plan_kg as inferred_limit_kg
  from component join total on total.component = component.id
  where total.state in ('filled', 'every') and component.parts_listed is null
    and {NOBODY_WEIGHED}
  order by total.plan_kg is not null, total.plan_kg desc, component.name;

-- Ratings in kilograms, of whatever has one: gear, pick points, movers, fixtures, pallets.
create view ratings as
  select 'gear' as kind, gear.code, gear.name, coalesce(up_to, '') as at, rated_kg, inspection_due
    from gear_rating join gear on gear.id = gear_rating.gear
  union all
  select 'pick point', pick_point.code, pick_point.name, up_to, rated_kg, null
    from pick_point_rating
    join pick_point on pick_point.component = pick_point_rating.component
      and pick_point.position = pick_point_rating.point
  union all
  select 'mover', mover.code, mover.name,
    coalesce('load centre ' || load_centre_m || ' m', 'radius ' || radius_m || ' m', '')
      || coalesce(', ' || attachment, ''), rated_kg, inspection_due
    from mover_rating join mover on mover.id = mover_rating.mover
  union all
  select limit_kg.kind, limit_kg.code, coalesce(mover.name, fixture.name), '', kg,
    coalesce(mover.inspection_due, fixture.inspection_due)
    from limit_kg left join mover on limit_kg.kind = 'mover' and mover.code = limit_kg.code
    left join fixture on limit_kg.kind = 'fixture' and fixture.code = limit_kg.code
    where limit_kg.what = 'rated'
  order by 1, 2, 5;

-- Gear of lifts whose inspection is over or due by a day: compare `inspection_due` with it.
create view inspections_of_lifts as
  select distinct lift.code as lift, gear.code as gear, gear.name as gear_name, gear.inspection_due
  from lift_gear join gear on gear.id = lift_gear.gear join lift on lift.id = lift_gear.lift
  where gear.inspection_due is not null order by gear.inspection_due, lift.code;

-- Stored energy, what hides and what protects, of a piece and of its joints, not withdrawn.
create view notes_in_force as
  select component.code as component, note.kind, note.about_kind, note.about, note.text, note.hazard,
    note.status, note.review_by
  from note left join component on component.id = note.component
  where note.status <> 'withdrawn' and note.replaced_by is null
  order by note.kind <> 'stored energy', component.code, note.id;

create view where_sources_disagree as
  select component.code, component.name, statement.printed, statement.state, statement.gap_low_kg,
    statement.gap_high_kg
  from statement join component on component.id = statement.component
  where statement.verdict = 'disagrees' order by abs(coalesce(statement.gap_low_kg, 0)) desc, component.code;
"""
